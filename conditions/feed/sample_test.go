package feed

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// sample reads one of our invented answers.
func sample(t testing.TB, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("../../testdata/feeds", name))
	if err != nil {
		t.Fatalf("sample answer: %v", err)
	}
	return raw
}

// recordedByOthers reads an answer recorded from the real service, which stays outside the
// repository.
func recordedByOthers(t testing.TB, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("../../../shared/data/feeds", name))
	if err != nil {
		t.Skipf("recorded by others, not in the repository: %v", err)
	}
	return raw
}

func ts(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return t
}

// The invented forecasts begin at this instant.
var begin = ts("2026-12-05T00:00:00Z")

// Places the samples are for.
var (
	sydney  = measure.Position{Lat: -33.9, Lon: 151.3}
	galicia = measure.Position{Lat: 43.4, Lon: -8.4}
	canary  = measure.Position{Lat: 28.7, Lon: -14.0}
	inland  = measure.Position{Lat: 50.45, Lon: 9.95}
	oahu    = measure.Position{Lat: 21.6, Lon: -158.1}
)
