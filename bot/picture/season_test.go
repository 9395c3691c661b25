package picture

import (
	"bytes"
	"errors"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var seasonWords = SeasonLabels{
	PerTrip: "Fish per trip", PerWeek: "Fish per week", Kept: "kept", Gone: "let go", Unsaid: "not said", Blank: "no fish", ToCome: "to come",
	Months: [12]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}, Note: "What was noted, trips without fish too.",
}

// aSeason has so many trips spread over a year as a crew's are: many in some weeks, none in others.
func aSeason(trips int, seed uint64) Season {
	z := time.FixedZone("", -8*3600)
	s := Season{Title: "The crew, 2026", From: time.Date(2026, 1, 1, 0, 0, 0, 0, z), To: time.Date(2027, 1, 1, 0, 0, 0, 0, z), Zone: z, Labels: seasonWords}
	s.Now = time.Date(2026, 10, 3, 12, 0, 0, 0, z)
	r := rand.New(rand.NewPCG(seed, 1))
	for range trips {
		t := SeasonTrip{At: s.From.Add(time.Duration(r.Float64() * float64(s.Now.Sub(s.From))))}
		if r.IntN(3) > 0 {
			t.Kept, t.Gone, t.Unsaid = r.IntN(4), r.IntN(6), r.IntN(5)/4*2
		}
		s.Trips = append(s.Trips, t)
	}
	return s
}

func TestSeasonBarsNeverOverlap(t *testing.T) {
	for _, n := range []int{1, 2, 7, 24, 60, 90, 91, 400, 2000} {
		for seed := range uint64(20) {
			s := aSeason(n, seed)
			if seed == 0 { // all on the last day
				for i := range s.Trips {
					s.Trips[i].At = s.To.Add(-time.Hour)
				}
			}
			bars, width, weekly := s.bars()
			fish, trips := 0, 0
			for i, b := range bars {
				if b.x < seasonLeft || b.x+width > seasonRight || i > 0 && b.x < bars[i-1].x+width {
					t.Fatalf("%d trips, seed %d: bar %d at %d of width %d, after %d", n, seed, i, b.x, width, bars[max(0, i-1)].x)
				}
				fish, trips = fish+b.fish(), trips+b.trips
			}
			want := 0
			for _, x := range s.Trips {
				want += x.fish()
			}
			if fish != want || trips != n || weekly != (n > mostBars) || width < narrowBar {
				t.Fatalf("%d trips, seed %d: %d fish of %d trips in bars of %d, want %d", n, seed, fish, trips, width, want)
			}
		}
	}
}

func TestSeasonIsDrawn(t *testing.T) {
	dir := os.Getenv("LEDGEHAND_PICTURES")
	for name, s := range map[string]Season{"few": aSeason(7, 3), "some": aSeason(26, 4), "many": aSeason(84, 5), "weeks": aSeason(300, 6)} {
		body, err := SeasonPNG(s)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(bytes.NewReader(body))
		if err != nil || img.Bounds().Dx() != sheetWidth || img.Bounds().Dy() > 700 || len(body) > 60_000 {
			t.Errorf("%s: %v, %v, %d bytes", name, err, img.Bounds(), len(body))
		}
		again, err := SeasonPNG(s)
		if err != nil || !bytes.Equal(body, again) {
			t.Errorf("%s: drawn again it is another picture", name)
		}
		if dir != "" {
			if err := os.WriteFile(filepath.Join(dir, name+".png"), body, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// Taking the fish of one trip away changes the picture, so does who kept them, and a trip without fish is seen.
func TestSeasonShowsWhatItIsGiven(t *testing.T) {
	draw := func(change func(*Season)) []byte {
		s := aSeason(12, 8)
		s.Trips[0].Kept, s.Trips[0].Gone = 3, 2
		if change != nil {
			change(&s)
		}
		body, err := SeasonPNG(s)
		if err != nil {
			t.Fatal(err)
		}
		return body
	}
	base := draw(nil)
	for name, change := range map[string]func(*Season){
		"no fish":    func(s *Season) { s.Trips[0].Kept, s.Trips[0].Gone = 0, 0 },
		"other fate": func(s *Season) { s.Trips[0].Kept, s.Trips[0].Gone = 2, 3 },
		"not said":   func(s *Season) { s.Trips[0].Gone, s.Trips[0].Unsaid = 0, 2 },
		"a blank":    func(s *Season) { s.Trips = append(s.Trips, SeasonTrip{At: s.From.Add(300 * time.Hour)}) },
		"later now":  func(s *Season) { s.Now = s.To },
		"words":      func(s *Season) { s.Labels.Kept = "guardados" },
	} {
		if bytes.Equal(base, draw(change)) {
			t.Errorf("%s makes no difference", name)
		}
	}
}

func TestSeasonsThatCannotBeDrawn(t *testing.T) {
	for name, change := range map[string]func(*Season){
		"no trips":     func(s *Season) { s.Trips = nil },
		"too many":     func(s *Season) { s.Trips = aSeason(mostTrips+1, 1).Trips },
		"outside":      func(s *Season) { s.Trips[0].At = s.To },
		"negative":     func(s *Season) { s.Trips[0].Kept = -1 },
		"beyond count": func(s *Season) { s.Trips[0].Kept = mostFish + 1 },
		"a month":      func(s *Season) { s.To = s.From.AddDate(0, 1, 0) },
		"no zone":      func(s *Season) { s.Zone = nil },
		"no word":      func(s *Season) { s.Labels.Gone = "" },
		"no month":     func(s *Season) { s.Labels.Months[4] = "" },
		"a long title": func(s *Season) { s.Title = strings.Repeat("x", maxText+1) },
	} {
		s := aSeason(5, 2)
		change(&s)
		_, err := SeasonPNG(s)
		if err == nil {
			t.Errorf("%s: drawn", name)
		}
		if name == "no trips" && !errors.Is(err, ErrEmpty) || name == "too many" && !errors.Is(err, ErrTooLong) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
