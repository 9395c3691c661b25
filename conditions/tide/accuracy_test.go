package tide

import (
	"flag"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write ACCURACY.md anew")

func (s *spread) rms() float64 {
	var sum float64
	for _, v := range s.all {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(s.all)))
}

// accuracy is one line of the table in the docs.
type accuracy struct {
	class    string
	against  string
	stations map[string]bool
	dh, dt   spread
}

const accuracyHead = `# How near the predictions come

Written by ` + "`go test ./conditions/tide -run TestAccuracyTable -update`" + ` from the untrimmed check tables; a test compares it.
Differences are ours minus theirs, in centimetres and minutes. Highs and lows are matched by kind and time. "Year" holds the node
factors over the calendar year as the published tables do; everything else is as users get it. All of this is prediction against
prediction: the sea itself differs by surge, waves and river water, by tens of centimetres in a gale.

| stations | compared with | stations | values | height rms | height max | time rms | time max |
|---|---|--:|--:|--:|--:|--:|--:|
`

const accuracyFoot = `
What the rows mean:

- Where the constants are those the table was made from, the published value is met to its rounding (1 mm).
- "Constants revised since" and the New Zealand rows measure the constants, not the program: New Zealand prints heights to 0.1 m above
  a chart datum of its own (the mean of each port is taken out), and our constants are a fit by others to the same gauges.
- Rijkswaterstaat corrects some node factors by factors of its own, which the row leaves out.
- The other program is a general tide library in another language, set to the same formulas, its known defects left out on both sides.
- A flat high or low water has no sharp time: the largest time differences are at diurnal tides.
`

// TestAccuracyTable keeps the table of the docs true.
func TestAccuracyTable(t *testing.T) {
	if _, err := os.Stat(full); err != nil {
		t.Skip("no shared folder beside the repository: the table is made from the untrimmed files")
	}
	var order []string
	rows := map[string]*accuracy{}
	row := func(class, against string) *accuracy {
		key := class + "|" + against
		if rows[key] == nil {
			rows[key] = &accuracy{class: class, against: against, stations: map[string]bool{}}
			order = append(order, key)
		}
		return rows[key]
	}
	series, waters := by(readTable(t, full, "authority_series.csv"), "case"), by(readTable(t, full, "authority_hilo.csv"), "case")
	for _, c := range readTable(t, full, "authority_cases.csv") {
		against := c["authority"]
		class := "NOAA reference"
		switch src := c["source"]; {
		case strings.HasPrefix(src, "rws"):
			class = "Vlissingen, from their constants"
		case strings.HasPrefix(src, "linz"):
			class = "gauge fits (TICON-4)"
		case strings.HasPrefix(src, "kartverket"):
			class = "Kartverket"
		case strings.HasPrefix(src, "noaa-swain"):
			class = "NOAA subordinate"
		}
		if strings.Contains(c["note"], "revised") || c["kind"] == "hilo" && class == "NOAA reference" {
			class += ", constants revised since"
		}
		modes := []Mode{Year, Instant}
		if strings.HasPrefix(class, "gauge") || class == "Kartverket" || strings.HasPrefix(class, "NOAA sub") {
			modes = modes[1:]
		}
		for _, mode := range modes {
			what := against + ", " + map[string]string{"series": "hourly", "hilo": "highs and lows"}[c["kind"]]
			if mode == Year {
				what += ", year"
			}
			r := row(class, what)
			r.stations[c["station"]] = true
			p, shift := forCase(t, c, mode)
			if c["source"] == "rws-vlissingen-ext" { // forCase applies their factors
				var err error
				if p, err = New(0.01, vlissingen(t), WithMode(mode)); err != nil {
					t.Fatal(err)
				}
			}
			if c["kind"] == "series" {
				for _, v := range series[c["case"]] {
					r.dh.add(float64(p.Height(v.Time(t, "time_utc").Add(shift))) - v.Num(t, "height_m"))
				}
				continue
			}
			dh, dt := match(t, p, shift, waters[c["case"]])
			if strings.HasPrefix(class, "gauge") {
				mean := dh.mean()
				for i := range dh.all {
					dh.all[i] -= mean
				}
			}
			r.dh.all, r.dt.all = append(r.dh.all, dh.all...), append(r.dt.all, dt.all...)
		}
	}
	hourly, hilo := by(readTable(t, full, "library_hourly.csv"), "station"), by(readTable(t, full, "library_hilo.csv"), "station")
	for _, st := range readTable(t, full, "library_stations.csv") {
		class := "NOAA reference"
		switch {
		case st["kind"] != "ref":
			class = "NOAA subordinate"
		case strings.HasPrefix(st["station"], "ticon"):
			class = "gauge fits (TICON-4)"
		case strings.HasPrefix(st["station"], "kartverket"):
			class = "Kartverket"
		}
		p, err := Open(st["station"], Without(strings.Fields(st["excluded"])...))
		if err != nil {
			t.Fatal(err)
		}
		if class == "NOAA reference" && p.Character().Regime == Diurnal {
			class += ", diurnal"
		}
		r := row(class, "another program")
		r.stations[st["station"]] = true
		for _, v := range hourly[st["station"]] {
			r.dh.add(float64(p.Height(v.Time(t, "time_utc"))) - v.Num(t, "height_schureman_m"))
		}
		dh, dt := match(t, p, 0, hilo[st["station"]])
		r.dh.all, r.dt.all = append(r.dh.all, dh.all...), append(r.dt.all, dt.all...)
	}
	slices.Sort(order)
	var b strings.Builder
	b.WriteString(accuracyHead)
	for _, key := range order {
		r := rows[key]
		times := "– | –"
		if len(r.dt.all) > 0 {
			times = fmt.Sprintf("%.1f | %.1f", r.dt.rms(), r.dt.max())
		}
		heights := "– | –"
		if len(r.dh.all) > 0 {
			heights = fmt.Sprintf("%.2f | %.2f", 100*r.dh.rms(), 100*r.dh.max())
		}
		fmt.Fprintf(&b, "| %s | %s | %d | %d | %s | %s |\n", r.class, r.against, len(r.stations), max(len(r.dh.all), len(r.dt.all)), heights, times)
	}
	b.WriteString(accuracyFoot)
	const file = "ACCURACY.md"
	if *update {
		if err := os.WriteFile(file, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	have, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(have) != b.String() {
		t.Errorf("%s is not what the checks give now; run this test with -update and read the difference:\n%s", file, b.String())
	}
}
