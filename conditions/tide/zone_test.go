package tide

import (
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the same zones on every machine

	"ledgehand/conditions/measure"
)

// Every station left out in turn: what the stations around it say of its clock. The figures are those of ZonesAt's comment.
func TestZonesOfStationsLeftOut(t *testing.T) {
	c := stations()
	for _, k := range []struct {
		hole             float64 // km around the place without stations
		right, lost, bad int     // at least, at most, at most
	}{
		{0, 5400, 20, 6},
		{30, 5200, 35, 5},
	} {
		var right, asked, lost, bad int
		for i := range c.count {
			s := c.station(i)
			if strings.HasPrefix(s.Zone, "Etc/") {
				continue
			}
			got := zonesBeyond(s.Position, year2026, k.hole)
			found := slices.ContainsFunc(got, func(z string) bool { return sameClock(z, s.Zone, year2026) })
			switch {
			case found && len(got) == 1:
				right++
			case found:
				asked++
			case len(got) > 1:
				lost++
			default:
				bad++
				t.Logf("%s keeps %s, told %v", s.ID, s.Zone, got)
			}
		}
		t.Logf("nothing within %g km: one and right %d, asked %d, asked without the right one %d, wrong without asking %d", k.hole, right, asked, lost, bad)
		if right < k.right || lost > k.lost || bad > k.bad {
			t.Errorf("nothing within %g km: want at least %d right, at most %d without the right one and %d wrong", k.hole, k.right, k.lost, k.bad)
		}
	}
}

func TestZonesAtKnownPlaces(t *testing.T) {
	june := time.Date(2026, time.June, 1, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name string
		at   measure.Position
		want []string
	}{
		{"California", measure.Position{Lat: 38.9, Lon: -123.7}, []string{"America/Los_Angeles"}},
		{"Algarve", measure.Position{Lat: 37.01, Lon: -8.93}, []string{"Europe/Lisbon"}},
		{"MouthOfTheGuadiana", measure.Position{Lat: 37.18, Lon: -7.45}, []string{"Europe/Lisbon", "Europe/Madrid"}},
		{"FranceAndSpainKeepOneClock", measure.Position{Lat: 43.43, Lon: -1.60}, []string{"Europe/Paris"}},
		{"GoldCoastInJuneWhenClocksAgree", measure.Position{Lat: -28.10, Lon: 153.47}, []string{"Australia/Brisbane", "Australia/Sydney"}},
		{"MidSouthAtlantic", measure.Position{Lat: -30, Lon: -20}, nil}, // asked, the nautical zone first
	} {
		t.Run(c.name, func(t *testing.T) {
			got := ZonesAt(c.at, june)
			if c.want == nil {
				if len(got) < 2 || got[0] != "Etc/GMT+1" {
					t.Errorf("ZonesAt(%v) = %v, want Etc/GMT+1 and others", c.at, got)
				}
				return
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("ZonesAt(%v) = %v, want %v", c.at, got, c.want)
			}
		})
	}
	for _, p := range []measure.Position{{Lat: 91}, {Lon: 200}} {
		if got := ZonesAt(p, june); got != nil {
			t.Errorf("ZonesAt(%v) = %v, want nil", p, got)
		}
	}
}

// Every place gets an answer that is a zone, the first of them different from the rest.
func TestZonesLoadEverywhere(t *testing.T) {
	for lat := -90.0; lat <= 90; lat += 7.5 {
		for lon := -180.0; lon <= 180; lon += 7.5 {
			got := ZonesAt(measure.Position{Lat: lat, Lon: lon}, year2026)
			if len(got) == 0 {
				t.Fatalf("ZonesAt(%g, %g) = none", lat, lon)
			}
			for i, z := range got {
				if location(z) == nil || keptByAny(got[:i], z, year2026) {
					t.Errorf("ZonesAt(%g, %g) = %v: %s cannot be loaded or is there twice", lat, lon, got, z)
				}
			}
		}
	}
}

func TestNauticalZonesCountWestward(t *testing.T) {
	for lon, want := range map[float64]string{0: "Etc/GMT", 7.4: "Etc/GMT", -7.6: "Etc/GMT+1", 135: "Etc/GMT-9", 180: "Etc/GMT-12", -180: "Etc/GMT+12"} {
		got := nautical(lon)
		if got != want {
			t.Errorf("nautical(%g) = %s, want %s", lon, got, want)
		}
		_, off := year2026.In(location(got)).Zone()
		if d := float64(off)/3600 - lon/15; d < -0.5 || d > 0.5 {
			t.Errorf("nautical(%g) = %s, %d s ahead of UTC", lon, got, off)
		}
	}
}

func TestClocksAreComparedOverAYear(t *testing.T) {
	july := time.Date(2026, time.July, 1, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"Europe/Paris", "Europe/Madrid", true},
		{"Australia/Brisbane", "Australia/Sydney", false}, // the same in July
		{"America/Denver", "America/Phoenix", false},
		{"Europe/London", "Europe/Lisbon", true},
		{"Africa/Lagos", "Africa/Luanda", true},
		{"Nowhere/At_All", "Nowhere/At_All", true}, // a name is itself, loaded or not
		{"Nowhere/At_All", "Europe/Paris", false},
		{"Nowhere/At_All", "Nowhere/Else", false},
	} {
		if got := sameClock(c.a, c.b, july); got != c.want || sameClock(c.b, c.a, july) != c.want {
			t.Errorf("sameClock(%s, %s) = %v, want %v", c.a, c.b, got, c.want)
		}
	}
}

func BenchmarkZonesAt(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		ZonesAt(measure.Position{Lat: 38.9, Lon: -123.7}, year2026)
	}
}

func BenchmarkZonesAtABorder(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		ZonesAt(measure.Position{Lat: 37.18, Lon: -7.45}, year2026)
	}
}
