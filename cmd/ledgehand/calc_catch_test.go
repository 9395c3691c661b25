package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// catchLine is a recorded line with the reading a careful person gave it (testdata/README.md).
type catchLine struct {
	ID     string `json:"id"`
	Units  string `json:"units"`
	Area   string `json:"area"`
	Line   string `json:"line"`
	Expect struct {
		Status  string           `json:"status"`
		Entries []map[string]any `json:"entries"`
		Ask     string           `json:"ask"`
		Effort  map[string]any   `json:"effort"`
		Flags   []string         `json:"flags"`
	} `json:"expect"`
}

func catchLines(t *testing.T) (out []catchLine) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "fish", "catch_lines.jsonl"))
	must(t, err)
	defer func() { _ = f.Close() }()
	sc := bufio.NewScanner(f)
	sc.Buffer(nil, 1<<20)
	for sc.Scan() {
		var l catchLine
		must(t, json.Unmarshal(sc.Bytes(), &l))
		out = append(out, l)
	}
	must(t, sc.Err())
	return out
}

// differsFrom compares an answer with what was expected, field by field; lengths to half a tenth of a millimetre, which
// is what the samples are rounded to.
func (l catchLine) differsFrom(a map[string]any) string {
	if a["status"] != l.Expect.Status {
		return fmt.Sprintf("status %v, want %s", a["status"], l.Expect.Status)
	}
	if (a["ask"] != nil) != (l.Expect.Ask != "") && l.Expect.Status != "refuse" {
		return fmt.Sprintf("asks %v, want %q", a["ask"], l.Expect.Ask)
	}
	got, _ := a["entries"].([]any)
	if len(got) != len(l.Expect.Entries) {
		return fmt.Sprintf("%d entries, want %d", len(got), len(l.Expect.Entries))
	}
	for i, want := range l.Expect.Entries {
		have, _ := got[i].(map[string]any)
		for key, v := range want {
			if key == "lengths_mm" {
				a, _ := have[key].([]any)
				b := v.([]any)
				same := len(a) == len(b)
				for k := range b {
					same = same && math.Abs(a[k].(float64)-b[k].(float64)) <= 0.0501
				}
				if !same {
					return fmt.Sprintf("entry %d: lengths %v, want %v", i, a, b)
				}
				continue
			}
			if fmt.Sprint(have[key]) != fmt.Sprint(v) {
				return fmt.Sprintf("entry %d: %s %v, want %v", i, key, have[key], v)
			}
		}
		for _, key := range []string{"who", "typed", "note"} {
			if want[key] == nil && have[key] != nil && key == "who" {
				return fmt.Sprintf("entry %d: %s %v, want none", i, key, have[key])
			}
		}
	}
	if l.Expect.Effort != nil && fmt.Sprint(a["effort"]) != fmt.Sprint(l.Expect.Effort) {
		return fmt.Sprintf("effort %v, want %v", a["effort"], l.Expect.Effort)
	}
	flags, _ := a["flags"].([]any)
	for _, want := range l.Expect.Flags {
		// Those of the rules are said by the rules.
		ours := strings.HasPrefix(want, "lost_fish") || want == "edit_last" || want == "delete_last" || want == "not_finfish" || want == "tag" || want == "not_rod" || want == "line_left_in_fish" || want == "species_unsure"
		found := false
		for _, f := range flags {
			found = found || f == want
		}
		if ours && !found {
			return fmt.Sprintf("flags %v, want %s", flags, want)
		}
	}
	return ""
}

func TestCalcCatch(t *testing.T) {
	lines := catchLines(t)
	var in strings.Builder
	for _, l := range lines {
		q, err := json.Marshal(map[string]string{"op": "catch", "line": l.Line, "units": l.Units, "area": l.Area})
		must(t, err)
		in.Write(append(q, '\n'))
	}
	answers := calcAnswers(t, strings.NewReader(in.String()))
	if len(answers) != len(lines) || len(lines) < 90 {
		t.Fatalf("%d answers to %d lines", len(answers), len(lines))
	}
	passed := 0
	for i, l := range lines {
		if why := l.differsFrom(answers[i]); why != "" {
			t.Errorf("%s: %q: %s", l.ID, l.Line, why)
			continue
		}
		passed++
	}
	t.Logf("%d of %d catch lines", passed, len(lines))

	// The comparison must be able to fail.
	if answers[0]["status"] = "ask"; lines[0].differsFrom(answers[0]) == "" {
		t.Error("another status is let through")
	}
	if lines[1].differsFrom(answers[2]) == "" {
		t.Error("another fish is let through")
	}

	for line, why := range map[string]string{"bream 150cm": "out-of-range", "bream 25kg": "out-of-range", "unicorn 40": "no-such-fish", "": "empty"} {
		q, err := json.Marshal(map[string]string{"op": "catch", "line": line, "units": "metric", "area": "AU-NSW"})
		must(t, err)
		a := calcAnswers(t, strings.NewReader(string(q)+"\n"))[0]
		if said, _ := a["why"].(string); a["status"] != "refuse" || !strings.HasPrefix(said, why) || a["example"] == "" || len(a["entries"].([]any)) != 0 {
			t.Errorf("%q = %v, want it refused: %s", line, a, why)
		}
	}
}
