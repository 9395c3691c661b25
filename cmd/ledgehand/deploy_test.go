package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// settingsAsked are the names serve asks the environment for, also those that it asks for only when nothing is missing.
func settingsAsked() (names []string) {
	_, _ = readSettings(func(name string) string {
		if strings.HasPrefix(name, "LEDGEHAND_") && !slices.Contains(names, name) {
			names = append(names, name)
		}
		if slices.Contains([]string{"LEDGEHAND_TOKEN", "LEDGEHAND_KEY_FILE", "LEDGEHAND_USER_AGENT"}, name) {
			return "x"
		}
		return ""
	})
	return names
}

var (
	settingName  = regexp.MustCompile(`LEDGEHAND_[A-Z_]*[A-Z]`)
	settingShown = regexp.MustCompile("`(?:LEDGEHAND)?(_[A-Z_]+)`")
)

func deployFile(t *testing.T, name string) string {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("deploy", name))
	must(t, err)
	return string(raw)
}

func TestEverySettingThatIsDeployedExistsAndEveryOneIsToldOf(t *testing.T) {
	asked := settingsAsked()
	files, err := os.ReadDir("deploy")
	must(t, err)
	seen := 0
	for _, f := range files {
		for _, name := range settingName.FindAllString(deployFile(t, f.Name()), -1) {
			seen++
			if !slices.Contains(asked, name) && name != "LEDGEHAND_REDIS_" {
				t.Errorf("deploy/%s names %s, which serve does not ask for", f.Name(), name)
			}
		}
	}
	if seen < 15 {
		t.Errorf("found %d names in deploy: the test does not see what it looks for", seen)
	}
	doc, err := os.ReadFile("../../DEVELOPERS.md")
	must(t, err)
	_, table, _ := strings.Cut(string(doc), "| setting | what |")
	table, _, _ = strings.Cut(table, "\n\n")
	told := map[string]bool{}
	for _, m := range settingShown.FindAllStringSubmatch(table, -1) {
		told["LEDGEHAND"+m[1]] = true
	}
	for _, name := range asked {
		if !told[name] {
			t.Errorf("DEVELOPERS.md does not tell of %s", name)
		}
		delete(told, name)
	}
	for name := range told {
		t.Errorf("DEVELOPERS.md tells of %s, which serve does not ask for", name)
	}
}

// unitSettings reads name=value lines of a unit, the values of a name in order.
func unitSettings(t *testing.T, name string) map[string][]string {
	t.Helper()
	all := map[string][]string{}
	for line := range strings.Lines(deployFile(t, name)) {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' || line[0] == '[' {
			continue
		}
		k, v, ok := strings.Cut(line, "=")
		if !ok {
			t.Errorf("%s: %q is no setting", name, line)
		}
		all[k] = append(all[k], v)
	}
	return all
}

func TestUnits(t *testing.T) {
	serve, look := unitSettings(t, "ledgehand.service"), unitSettings(t, "ledgehand@.service")
	for name, want := range map[string]string{
		"Restart": "always", "KillMode": "mixed", "User": "ledgehand", "StateDirectory": "ledgehand", "StateDirectoryMode": "0700", "NoNewPrivileges": "yes",
		"ProtectSystem": "strict", "After": "network-online.target", "StartLimitIntervalSec": "0",
	} {
		if !slices.Equal(serve[name], []string{want}) {
			t.Errorf("ledgehand.service: %s is %q, want %q", name, serve[name], want)
		}
	}
	// A watchdog that nobody feeds would kill it every time.
	if len(serve["WatchdogSec"]) > 0 {
		t.Error("ledgehand.service has a watchdog, which serve does not feed")
	}
	// A look from outside runs as the same user on the same settings, or it would see another store.
	for name, v := range serve {
		switch name {
		case "Description", "Type", "ExecStart", "Restart", "RestartSec", "TimeoutStopSec", "StartLimitIntervalSec", "WantedBy":
			continue
		}
		if !slices.Equal(look[name], v) {
			t.Errorf("ledgehand@.service: %s is %q, want %q as in the other", name, look[name], v)
		}
	}
	// The time it is given to end covers the draining and the ending of redis-server.
	if !slices.Equal(serve["TimeoutStopSec"], []string{"90"}) || drainFor.Seconds() > 30 {
		t.Errorf("TimeoutStopSec %q with %v of draining and 30 s for redis-server: look at it again", serve["TimeoutStopSec"], drainFor)
	}
	analyze, err := exec.LookPath("systemd-analyze")
	if err != nil {
		t.Skip("no systemd-analyze on the path")
	}
	dir := t.TempDir()
	for _, name := range []string{"ledgehand.service", "ledgehand@.service"} {
		// Whether the program is installed here does not matter.
		text := strings.ReplaceAll(deployFile(t, name), "/usr/local/bin/ledgehand", "/bin/true")
		as := filepath.Join(dir, strings.Replace(name, "@", "@doctor", 1))
		must(t, os.WriteFile(as, []byte(text), 0o644))
		if out, err := exec.Command(analyze, "verify", "--man=no", as).CombinedOutput(); err != nil || len(out) > 0 {
			t.Errorf("systemd-analyze verify %s: %v\n%s", name, err, out)
		}
	}
}

// The container holds what the program needs, and runs as nobody in particular.
func TestContainerfile(t *testing.T) {
	text := deployFile(t, "Containerfile")
	for _, want := range []string{"AS build", "CGO_ENABLED=0", "redis-server", "ca-certificates", "USER 10001", "VOLUME /data", `CMD ["serve"]`} {
		if !strings.Contains(text, want) {
			t.Errorf("Containerfile lacks %q", want)
		}
	}
	mod, err := os.ReadFile("../../go.mod")
	must(t, err)
	version := regexp.MustCompile(`(?m)^go (\d+\.\d+)`).FindSubmatch(mod)[1]
	if !strings.Contains(text, "golang:"+string(version)+"-") {
		t.Errorf("Containerfile builds with another Go than %s", version)
	}
	for line := range strings.Lines(text) {
		// Every path copied from the repository is there.
		if f := strings.Fields(line); len(f) > 2 && f[0] == "COPY" && !strings.HasPrefix(f[1], "--") {
			for _, p := range f[1 : len(f)-1] {
				if _, err := os.Stat(filepath.Join("../..", p)); err != nil {
					t.Errorf("Containerfile copies %s: %v", p, err)
				}
			}
		}
	}
}
