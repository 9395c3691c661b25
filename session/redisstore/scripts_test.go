package redisstore

import (
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Every script's header must say what its body does: the same KEYS and ARGV, the same words.
func TestScriptHeadersSayWhatTheBodiesUse(t *testing.T) {
	files, err := fs.Glob(scriptFiles, "scripts/*.lua")
	if err != nil || len(files) == 0 {
		t.Fatalf("scripts: %q, %v, want some", files, err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(strings.TrimPrefix(file, "scripts/"), ".lua"), func(t *testing.T) {
			text, err := scriptFiles.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, fault := range headerFaults(string(text)) {
				t.Error(fault)
			}
		})
	}
}

// The check itself must be able to fail.
func TestHeaderCheckFindsFaults(t *testing.T) {
	const good = "-- x: y\n-- KEYS[1] in\n-- ARGV[1] id\n-- ARGV[2..] rest\n-- returns ok: fine\nredis.call('XDEL', KEYS[1], ARGV[1], ARGV[i])\nreturn {'ok'}\n"
	if faults := headerFaults(good); len(faults) != 0 {
		t.Errorf("headerFaults(good) = %q, want none", faults)
	}
	for name, change := range map[string][2]string{
		"undocumented key":  {"KEYS[1], ARGV[1]", "KEYS[1], KEYS[2]"},
		"unused argument":   {"ARGV[1], ARGV[i]", "ARGV[i]"},
		"undocumented tail": {"-- ARGV[2..] rest\n", "-- ARGV[2] rest\n"},
		"undocumented word": {"return {'ok'}", "return {'done'}"},
		"gap":               {"-- KEYS[1] in", "-- KEYS[2] in"},
		"built key":         {"KEYS[1], ARGV[1]", "KEYS[1] .. ':x', ARGV[1]"},
		"key from argument": {"'XDEL', KEYS[1]", "'XDEL', ARGV[1], KEYS[1]"},
		"json round trip":   {"return {'ok'}", "cjson.decode(ARGV[1]) return {'ok'}"},
		"server's clock":    {"return {'ok'}", "redis.call('TIME', KEYS[1]) return {'ok'}"},
	} {
		if faults := headerFaults(strings.Replace(good, change[0], change[1], 1)); len(faults) == 0 {
			t.Errorf("headerFaults(%s) found nothing", name)
		}
	}
}

var (
	declared = regexp.MustCompile(`^-- (KEYS|ARGV)\[(\d+)(\.\.)?\]`)
	literal  = regexp.MustCompile(`(KEYS|ARGV)\[(\d+)\]`)
	computed = regexp.MustCompile(`(KEYS|ARGV)\[\D`)
	returns  = regexp.MustCompile(`^-- returns (\w+):`)
	word     = regexp.MustCompile(`(?:return|out =) \{'(\w+)'`)
	call     = regexp.MustCompile(`redis\.call\('(\w+)', ([^,)]+)`)
	oneKey   = regexp.MustCompile(`^(KEYS\[[^\]]+\]|lane)$`)
)

func headerFaults(script string) (faults []string) {
	said := map[string]bool{}
	words := map[string]bool{}
	count := map[string]int{}
	var body []string
	for line := range strings.Lines(script) {
		if !strings.HasPrefix(line, "--") {
			body = append(body, line)
			continue
		}
		if m := declared.FindStringSubmatch(line); m != nil {
			said[m[1]+m[2]+m[3]] = true
			if count[m[1]]++; fmt.Sprint(count[m[1]]) != m[2] {
				faults = append(faults, fmt.Sprintf("header: %s[%s] is number %d", m[1], m[2], count[m[1]]))
			}
		}
		if m := returns.FindStringSubmatch(line); m != nil {
			words[m[1]] = true
		}
	}
	code := strings.Join(body, "")
	used := map[string]bool{}
	for _, m := range literal.FindAllStringSubmatch(code, -1) {
		used[m[1]+m[2]] = true
	}
	tails := map[string]bool{}
	for _, m := range computed.FindAllStringSubmatch(code, -1) {
		tails[m[1]] = true
	}
	for name := range said {
		kind, tail := name[:4], strings.HasSuffix(name, "..")
		if tail && !tails[kind] || !tail && !used[name] {
			faults = append(faults, "header names what the body does not use: "+name)
		}
		delete(used, name)
		if tail {
			delete(tails, kind)
		}
	}
	for name := range used {
		faults = append(faults, "body uses what the header does not name: "+name)
	}
	for kind := range tails {
		faults = append(faults, "body computes places that the header does not name: "+kind)
	}
	var answered []string
	for _, m := range word.FindAllStringSubmatch(code, -1) {
		answered = append(answered, m[1])
		if !words[m[1]] {
			faults = append(faults, "body answers a word that the header does not name: "+m[1])
		}
	}
	for w := range words {
		if !slices.Contains(answered, w) {
			faults = append(faults, "header names a word that the body does not answer: "+w)
		}
	}
	// One slot, no built keys: whatever a command touches came through KEYS. "lane" is a local that
	// holds one of two KEYS.
	for _, m := range call.FindAllStringSubmatch(code, -1) {
		if !oneKey.MatchString(strings.TrimSpace(m[2])) {
			faults = append(faults, fmt.Sprintf("%s takes %q, which is no key that was passed", m[1], m[2]))
		}
	}
	for _, never := range []string{"cjson", "'TIME'", "cmsgpack", "math.random"} {
		if strings.Contains(code, never) {
			faults = append(faults, "body uses "+never)
		}
	}
	return faults
}
