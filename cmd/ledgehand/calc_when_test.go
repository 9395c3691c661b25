package main

import (
	"bufio"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// The lines anglers type, with the reading a careful person gave them (testdata/README.md says whose they are): calc gives the
// status, the instants, and beside a question what the reader held for certain.
func TestCalcWhenReadsTheSamples(t *testing.T) {
	f, err := os.Open(filepath.Join("..", "..", "testdata", "fish", "trip_times.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var in asking
	var wanted []object
	for s := bufio.NewScanner(f); s.Scan(); {
		var q object
		if err := json.Unmarshal(s.Bytes(), &q); err != nil {
			t.Fatal(err)
		}
		wanted = append(wanted, q)
		q["op"] = "when"
		in.add(t, q)
	}
	passed := 0
	for i, got := range in.answers(t) {
		q := wanted[i]
		want := q["expect"].(map[string]any)
		ok := got["status"] == want["status"]
		for _, field := range []string{"start", "end", "back_by"} {
			if want[field] != nil || want["status"] == "ok" {
				ok = ok && sameInstant(t, got[field], want[field])
			}
		}
		if list, given := want["start_candidates"].([]any); given {
			offered, _ := got["start_candidates"].([]any)
			ok = ok && slices.EqualFunc(offered, list, func(a, b any) bool { return sameInstant(t, a, b) })
		}
		if ask, _ := got["ask"].(string); got["status"] == "ask" && ask == "" || got["status"] == "refuse" && got["example"] == nil || got["rest"] != nil {
			ok = false
		}
		if !ok {
			t.Errorf("%v: %q answered %v, want %v", q["id"], q["line"], got, want)
			continue
		}
		passed++
	}
	t.Logf("%d of %d lines read as the sample says", passed, len(wanted))
	if len(wanted) < 60 {
		t.Errorf("%d lines, want all 60", len(wanted))
	}
}

func sameInstant(t *testing.T, a, b any) bool {
	t.Helper()
	if a == nil || b == nil {
		return a == b
	}
	parse := func(v any) time.Time {
		var m moment
		raw, err := json.Marshal(v)
		if err == nil {
			err = m.UnmarshalJSON(raw)
		}
		if err != nil {
			t.Fatal(err)
		}
		return m.Time
	}
	return parse(a).Equal(parse(b))
}

// What is no question to answer is an error, and never a reading.
func TestCalcWhenRefusesBadInput(t *testing.T) {
	for _, line := range []string{
		`{"op":"when"}`, `{"op":"when","line":"sat 5am til 9","ref":"2026-03-12T14:30+11:00"}`, `{"op":"when","line":"sat","ref":"soon","tz":"UTC"}`,
		`{"op":"when","line":"sat","ref":"2026-03-12T14:30+11:00","tz":"Nowhere/Town"}`, `{"op":"when","line":5,"ref":"2026-03-12T14:30+11:00","tz":"UTC"}`,
		`{"op":"when","line":"sat","ref":"2026-03-12T14:30+11:00","tz":"UTC","tides":[{"type":"low"}]}`,
		`{"op":"when","line":"sat","ref":"2026-03-12T14:30+11:00","tz":"UTC","tides":[{"t":"2026-03-12T14:30+11:00","type":"slack"}]}`,
		`{"op":"when","line":"sat","ref":"2026-03-12T14:30+11:00","tz":"UTC","sun":{"someday":{}}}`,
	} {
		if got := calcLine(operations(), []byte(line)); !json.Valid(got) || string(got[:9]) != `{"error":` {
			t.Errorf("calc %s = %s, want an error", line, got)
		}
	}
}
