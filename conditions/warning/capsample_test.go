package warning

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

const capSamples = "../../testdata/feeds/cap"

// sampleCAP reads one of our invented payloads.
func sampleCAP(t testing.TB, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join(capSamples, name))
	if err != nil {
		t.Fatalf("sample: %v", err)
	}
	return raw
}

// recordedCAP reads a payload recorded from a real service, which stays outside the repository.
func recordedCAP(t testing.TB, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("../../../shared/data/feeds/cap", name))
	if err != nil {
		t.Skipf("recorded by others, not in the repository: %v", err)
	}
	return raw
}

func decoded(t testing.TB, raw []byte) Message {
	t.Helper()
	m, err := DecodeCAP(raw)
	if err != nil {
		t.Fatalf("DecodeCAP: %v", err)
	}
	return m
}

func message(t testing.TB, name string) Message {
	t.Helper()
	return decoded(t, sampleCAP(t, name))
}

func outlines(t testing.TB, raw ...[]byte) Geocodes {
	t.Helper()
	g, err := DecodeGeocodes(raw...)
	if err != nil {
		t.Fatalf("DecodeGeocodes: %v", err)
	}
	return g
}

func at(lat, lon float64) []measure.Position { return []measure.Position{{Lat: lat, Lon: lon}} }

func yesNo(covers *bool) string {
	if covers == nil {
		return "not known"
	}
	return map[bool]string{true: "yes", false: "no"}[*covers]
}

// one judges messages of which just one hazard comes out.
func one(t testing.TB, now string, places []measure.Position, langs []string, codes Geocodes, messages ...Message) Judged {
	t.Helper()
	got := JudgeCAP(messages, places, ts(now), langs, codes)
	if len(got) != 1 {
		t.Fatalf("JudgeCAP of %d messages = %d hazards, want 1: %+v", len(messages), len(got), got)
	}
	return got[0]
}

func standingsOf(messages []Message, now time.Time) map[string]Standing {
	out := map[string]Standing{}
	for _, j := range JudgeCAP(messages, nil, now, nil, Geocodes{}) {
		out[j.ID] = j.Standing
	}
	return out
}

// Where the shared folder lies beside the repository, the copies must be true.
func TestSamplesAreTrueCopies(t *testing.T) {
	shared := "../../../shared/data/feeds/cap"
	theirs, err := os.ReadDir(shared)
	if err != nil {
		t.Skip("no shared folder beside the repository: nothing to compare with")
	}
	ours, err := os.ReadDir(capSamples)
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, f := range ours {
		if !slices.ContainsFunc(theirs, func(o os.DirEntry) bool { return o.Name() == f.Name() }) {
			continue // made here
		}
		a, err := os.ReadFile(filepath.Join(shared, f.Name()))
		if err != nil || !bytes.Equal(a, sampleCAP(t, f.Name())) {
			t.Errorf("%s differs from the shared one (%v)", f.Name(), err)
		}
		compared++
	}
	if compared < 9 {
		t.Errorf("compared %d files, want the nine invented ones of the shared folder", compared)
	}
}
