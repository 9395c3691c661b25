package bot

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/picture"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

var update = flag.Bool("update", false, "write the gallery anew")

// exhibit is one real rendering of an invented ledge over a sample forecast: the words and the picture as they are sent.
type exhibit struct {
	file, about string
	words       wording.Words
	report      conditions.Report
	card        ledge.Card
}

// hang puts a ledge near a place into a sample's hours. Whatever of the sample cannot be decoded is "not known", as in earnest.
func hang(t *testing.T, file, about, sample string, at measure.Position, faces measure.From, hours [2]int, change func(*conditions.Question)) exhibit {
	t.Helper()
	read := func(kind string) []byte {
		body, err := os.ReadFile(filepath.Join("..", "testdata", "feeds", kind+"_"+sample+".constructed.json"))
		if err != nil {
			return nil
		}
		return body
	}
	st, ok := tide.Choose(at)
	if !ok {
		t.Fatalf("%s has no tide station", about)
	}
	z, err := time.LoadLocation(st.Zone)
	if err != nil {
		t.Fatal(err)
	}
	start := time.Date(2026, time.December, 5, 0, 0, 0, 0, z)
	now := start.Add(-3 * time.Hour)
	m := func(v float64) *measure.Metres { x := measure.Metres(v); return &x }
	slope := 0.0
	q := conditions.Question{
		Card: ledge.Card{
			Name: "Anvil", Exact: &at, TideStation: st.ID, Datum: st.Datum, Zone: st.Zone, Faces: &faces, FaceSlope: &slope,
			LipHeight: m(5), LipMeasured: ledge.Measured, FootDepth: m(9), WalkMinutes: 25, Limits: ledge.Limits{Hs: m(1.8)},
		},
		Now: now, Zone: z, From: start.Add(time.Duration(hours[0]) * time.Hour), To: start.Add(time.Duration(hours[1]) * time.Hour),
		Warnings: conditions.Warnings{State: conditions.WarningsNone, Source: "an invented office", CheckedAt: now.Add(-4 * time.Minute)},
	}
	if body := read("marine"); body != nil {
		if sea, err := feed.DecodeMarine(body, now.Add(-20*time.Minute), cell(t, body)); err == nil {
			sea.Source.Km = 7
			q.Sea = &sea
		} else {
			_, why := feed.Status(err)
			q.SeaWhy = string(why)
		}
	}
	if body := read("forecast"); body != nil {
		if w, err := feed.DecodeForecast(body, now.Add(-20*time.Minute), cell(t, body)); err == nil {
			q.Weather = &w
		}
	}
	if change != nil {
		change(&q)
	}
	r, err := conditions.Assess(q)
	if err != nil {
		t.Fatal(err)
	}
	return exhibit{file: file, about: about, words: wording.For("en", wording.Metric, z), report: r, card: q.Card}
}

// cell is the place a sample answers for.
func cell(t *testing.T, body []byte) measure.Position {
	t.Helper()
	var at struct{ Latitude, Longitude float64 }
	if err := json.Unmarshal(body, &at); err != nil {
		t.Fatal(err)
	}
	return measure.Position{Lat: at.Latitude, Lon: at.Longitude}
}

func exhibits(t *testing.T) []exhibit {
	m := func(v float64) *measure.Metres { x := measure.Metres(v); return &x }
	azores, sydney := measure.Position{Lat: 37.71, Lon: -25.45}, measure.Position{Lat: -33.87, Lon: 151.28}
	lofoten, brittany := measure.Position{Lat: 68.10, Lon: 13.2}, measure.Position{Lat: 48.33, Lon: -4.77}
	galicia := measure.Position{Lat: 43.38, Lon: -8.39}
	imperial := hang(t, "feet", "the same rising swell, in feet, over a ledge nobody measured", "sydney_rising_longperiod", sydney, 120, [2]int{54, 62}, func(q *conditions.Question) {
		q.Card.LipMeasured = ledge.Unmeasured
	})
	imperial.words = wording.For("en", wording.Imperial, imperial.report.Zone)
	spanish := func(x exhibit) exhibit {
		x.words = wording.For("es", wording.Metric, x.report.Zone)
		return x
	}
	return []exhibit{
		hang(t, "calm", "a benign sea off an island", "azores_benign", azores, 200, [2]int{8, 15}, nil),
		hang(t, "rising", "a long swell that rises through the day, with a walk-in that floods", "sydney_rising_longperiod", sydney, 120, [2]int{29, 39}, func(q *conditions.Question) {
			q.Card.WalkInGate = m(1.3)
		}),
		hang(t, "storm", "a storm in the polar night", "lofoten_storm_polarnight", lofoten, 230, [2]int{9, 17}, nil),
		hang(t, "fog", "seven metres of tide and fog", "brittany_macrotidal_fog", brittany, 270, [2]int{9, 17}, func(q *conditions.Question) {
			q.Card.LipHeight = m(9.5)
		}),
		hang(t, "gap", "a forecast that ends within the hours asked for", "azores_benign", azores, 200, [2]int{161, 170}, func(q *conditions.Question) {
			q.Now = q.From.Add(-20 * time.Hour)
			q.Sea.Source.FetchedAt = q.Now.Add(-30 * time.Minute)
			q.Warnings.CheckedAt = q.Now.Add(-4 * time.Minute)
		}),
		hang(t, "nothing", "a forecast of nothing but zeros, and no warning feed", "gfs_zero_filled", azores, 200, [2]int{8, 15}, func(q *conditions.Question) {
			q.Warnings = conditions.Warnings{State: conditions.WarningsUnknown, Why: string(feed.NoFeed), CheckedAt: q.Now}
		}),
		hang(t, "warning", "an official warning outranks every number", "galicia_16d_trailing_null", galicia, 330, [2]int{9, 16}, func(q *conditions.Question) {
			yes := true
			q.Card.LipHeight = m(9)
			q.Warnings = conditions.Warnings{State: conditions.WarningsInForce, Source: "an invented office", CheckedAt: q.Now, List: []conditions.Warning{
				{ID: "w", Event: "Coastal Event", Headline: "Orange coastal event warning: waves of 5 m from noon", Sender: "An invented office", Concern: conditions.Red, Covers: &yes},
			}}
		}),
		imperial,
		spanish(hang(t, "calm-es", "a benign sea, in Spanish: the longest verdict", "azores_benign", azores, 200, [2]int{8, 15}, nil)),
		spanish(hang(t, "rising-es", "the rising swell and the walk-in that floods, in Spanish", "sydney_rising_longperiod", sydney, 120, [2]int{29, 39}, func(q *conditions.Question) {
			q.Card.WalkInGate = m(1.3)
		})),
		spanish(hang(t, "storm-es", "the storm, in Spanish", "lofoten_storm_polarnight", lofoten, 230, [2]int{9, 17}, nil)),
	}
}

// TestGallery renders eight situations, three of them in Spanish too, as people get them. With -update it writes them down: then look at every picture at the
// size of a phone.
func TestGallery(t *testing.T) {
	folder := filepath.Join("..", "testdata", "pictures", "gallery")
	var page strings.Builder
	page.WriteString("# What people get\n\nWritten by `go test ./bot -run TestGallery -update`. Ledges, warnings and the office that issues them are invented;\n" +
		"the seas are the samples of testdata/feeds, tide and light are computed. Each text stands under its picture, as sent.\n")
	for _, x := range exhibits(t) {
		l := &looked{report: x.report, card: x.card}
		body, err := picture.PNG(chartOf(x.words, l))
		if err != nil {
			t.Errorf("%s: %v", x.about, err)
			continue
		}
		text := x.words.Conditions(x.report)
		fmt.Fprintf(&page, "\n## %s\n\n![%s](%s.png)\n\n", strings.ToUpper(x.about[:1])+x.about[1:], x.about, x.file)
		for line := range strings.Lines(wording.Plain(text)) {
			page.WriteString("> " + strings.TrimRight(line, "\n") + "  \n")
		}
		if *update {
			if err := os.MkdirAll(folder, 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(folder, x.file+".png"), body, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		have, err := os.ReadFile(filepath.Join(folder, x.file+".png"))
		if err != nil {
			t.Fatal(err)
		}
		if n := differ(t, body, have); n > 0.005 {
			t.Errorf("%s: %.1f %% of the pixels differ from the picture kept; run with -update and look at it", x.file, 100*n)
		}
	}
	file := filepath.Join(folder, "README.md")
	if *update {
		if err := os.WriteFile(file, []byte(page.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	have, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(have) != page.String() {
		t.Errorf("%s is not what people get now; run with -update and read the difference", file)
	}
}

// differ is the share of pixels in which two pictures differ: not byte for byte, for other processors round the last bit of
// a curve otherwise.
func differ(t *testing.T, a, b []byte) float64 {
	t.Helper()
	x, err := png.Decode(bytes.NewReader(a))
	if err != nil {
		t.Fatal(err)
	}
	y, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if x.Bounds() != y.Bounds() {
		return 1
	}
	n := 0
	for j := range x.Bounds().Dy() {
		for i := range x.Bounds().Dx() {
			if x.At(i, j) != y.At(i, j) {
				n++
			}
		}
	}
	return float64(n) / float64(x.Bounds().Dx()*x.Bounds().Dy())
}
