package command

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// samples reads a file of recorded lines with the reading a careful person gave them, kept in
// testdata/fish (testdata/README.md says whose they are).
func samples[T any](t testing.TB, name string) []T {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "fish", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []T
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var v T
		if err := json.Unmarshal(lines.Bytes(), &v); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out = append(out, v)
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
	return out
}

// answered says which of the three ends an error is.
func answered(err error) string {
	var unread *Unread
	switch {
	case err == nil:
		return "ok"
	case errors.As(err, &unread):
		return "refuse"
	}
	return "ask"
}

type tripSample struct {
	ID    string
	Line  string
	Ref   minute
	TZ    string
	Tides []struct {
		T    minute
		Type string
	}
	Sun map[string]struct {
		FirstLight minute `json:"first_light"`
		Sunrise    minute
		Sunset     minute
		LastLight  minute `json:"last_light"`
	}
	Expect struct {
		Status     string
		Start      minute
		End        minute
		BackBy     minute   `json:"back_by"`
		Candidates []minute `json:"start_candidates"`
	}
}

func (s tripSample) local() (l Local) {
	for _, t := range s.Tides {
		l.Tides = append(l.Tides, TideTurn{t.T.Time, Turn(t.Type)})
	}
	for _, d := range s.Sun {
		l.Light = append(l.Light, DayLight{d.FirstLight.Time, d.Sunrise.Time, d.Sunset.Time, d.LastLight.Time})
	}
	return l
}

// minute is an instant as the samples write it, without seconds.
type minute struct{ time.Time }

func (m *minute) UnmarshalJSON(b []byte) (err error) {
	var s string
	if err = json.Unmarshal(b, &s); err == nil && s != "" {
		m.Time, err = time.Parse("2006-01-02T15:04Z07:00", s)
	}
	return err
}

func (s tripSample) read(t testing.TB) (Window, error) {
	zone, err := time.LoadLocation(s.TZ)
	if err != nil {
		t.Fatal(err)
	}
	order := DayFirst
	if s.TZ == "America/New_York" || s.TZ == "America/Los_Angeles" {
		order = MonthFirst
	}
	return s.local().When(s.Line, s.Ref.Time, zone, order)
}

// TestTripSamples: every line is answered as the sample says, with the instants it says, and a question carries what the
// sample holds for certain.
func TestTripSamples(t *testing.T) {
	count, passed, seen := map[string]int{}, 0, 0
	for _, s := range samples[tripSample](t, "trip_times.jsonl") {
		got, err := s.read(t)
		status := answered(err)
		count[s.Expect.Status+" answered "+status]++
		seen++
		ok := true
		fail := func(format string, args ...any) {
			ok = false
			t.Errorf(s.ID+": When(%q) "+format, append([]any{s.Line}, args...)...)
		}
		if status != s.Expect.Status {
			fail("answered %s: %v %v, want %s", status, got, err, s.Expect.Status)
		}
		for _, part := range []struct {
			name      string
			got, want time.Time
		}{{"start", got.Start, s.Expect.Start.Time}, {"end", got.End, s.Expect.End.Time}, {"back by", got.BackBy, s.Expect.BackBy.Time}} {
			switch {
			case part.want.IsZero() && part.got.IsZero(), part.got.Equal(part.want):
			case part.want.IsZero() && status != "ok":
				t.Logf("%s: %q: also took the %s as certain: %v", s.ID, s.Line, part.name, part.got)
			default:
				fail("%s = %v, want %v", part.name, part.got, part.want)
			}
		}
		var ask *Ambiguous
		if errors.As(err, &ask) && len(s.Expect.Candidates) > 0 {
			if !slices.EqualFunc(ask.Candidates, s.Expect.Candidates, func(a time.Time, b minute) bool { return a.Equal(b.Time) }) {
				fail("offers %v, want %v", ask.Candidates, s.Expect.Candidates)
			}
		}
		if status == "ok" && got.Rest != "" {
			fail("left %q over", got.Rest)
		}
		if ok {
			passed++
		}
	}
	t.Logf("%d of %d samples pass: %v", passed, seen, count)
}

type catchSample struct {
	ID     string
	Units  Units
	Area   string
	Line   string
	Expect struct {
		Status  string
		Entries []struct {
			Species   *string `json:"species_id"`
			Count     *int
			Lengths   []float64 `json:"lengths_mm"`
			Measure   *string
			Estimated bool
			Weights   []int `json:"weights_g"`
			Kept      *int
			Released  *int
			Who       string
			Typed     string
			Note      string
		}
		Ask    string
		Effort struct {
			Rods  int
			Hours float64
		}
	}
}

func (s catchSample) read() (CatchLine, error) {
	g := terms(s.Units, s.Area)
	g.Person = nil
	return Catch(s.Line, g)
}

func same(got, want *int) bool {
	return got == nil && want == nil || got != nil && want != nil && *got == *want
}

// differs says where a reading is not the sample's, "" if nowhere. The samples round to a tenth of a millimetre.
func (s catchSample) differs(got CatchLine) string {
	if len(got.Entries) != len(s.Expect.Entries) {
		return fmt.Sprintf("%d entries, want %d", len(got.Entries), len(s.Expect.Entries))
	}
	if got.Effort != Effort(s.Expect.Effort) {
		return fmt.Sprintf("effort %v, want %v", got.Effort, s.Expect.Effort)
	}
	if (got.Ask != "") != (s.Expect.Ask != "") && s.Expect.Status == "ok" {
		return fmt.Sprintf("asks %q, want %q", got.Ask, s.Expect.Ask)
	}
	for i, want := range s.Expect.Entries {
		e := got.Entries[i]
		switch {
		case want.Species == nil && len(e.Species) == 1 && !e.Unsure, want.Species != nil && (e.Unsure || len(e.Species) != 1 || e.Species[0] != *want.Species):
			return fmt.Sprintf("%v: species", e)
		case want.Species == nil && e.Named != want.Typed:
			return fmt.Sprintf("%v: want it as %q", e, want.Typed)
		case want.Count == nil && e.Count != 0, want.Count != nil && e.Count != *want.Count:
			return fmt.Sprintf("%v: count", e)
		case want.Measure != nil && e.Measure != *want.Measure, want.Measure == nil && e.Measure != "":
			return fmt.Sprintf("%v: measure", e)
		case e.Estimated != want.Estimated, !slices.Equal(e.WeightsG, want.Weights) && len(e.WeightsG)+len(want.Weights) > 0:
			return fmt.Sprintf("%v: estimated or weights, want %v %v", e, want.Estimated, want.Weights)
		case !same(e.Kept, want.Kept), !same(e.Released, want.Released), e.Who != want.Who && !(e.Me && want.Who == "sender"), e.Largest != (want.Note == "largest only"):
			return fmt.Sprintf("%v: kept, released or who", e)
		case len(e.Lengths) != len(want.Lengths):
			return fmt.Sprintf("%v: want lengths %v", e, want.Lengths)
		}
		for k := range e.Lengths {
			if math.Abs(e.Lengths[k].MM()-want.Lengths[k]) > 0.0501 {
				return fmt.Sprintf("%v: want lengths %v", e, want.Lengths)
			}
		}
	}
	return ""
}

// TestCatchSamples reads every sample as the sample says, also what is asked about.
func TestCatchSamples(t *testing.T) {
	all, passed := samples[catchSample](t, "catch_lines.jsonl"), 0
	for _, s := range all {
		got, err := s.read()
		if status := answered(err); status != s.Expect.Status {
			t.Errorf("%s: Catch(%q) answered %s (%v, %s), want %s", s.ID, s.Line, status, err, showCatch(got), s.Expect.Status)
			continue
		}
		if why := s.differs(got); why != "" {
			t.Errorf("%s: Catch(%q): %s", s.ID, s.Line, why)
			continue
		}
		passed++
	}
	t.Logf("%d of %d lines read as the samples say", passed, len(all))
}
