package files

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"time"

	"ledgehand/session/catch/tally"
)

// Columns are the columns of the table, in order; each has a heading in the reader's language.
var Columns = []string{
	"date", "time", "zone", "trip", "ledge", "who", "fish", "scientific", "written", "count", "kept", "released", "unsaid", "lengths_cm", "measure", "guessed", "weights_g",
	"rods", "rod_hours", "tide", "tide_m", "datum", "turn", "turn_h", "hs_m", "period_s", "from_deg", "light", "lat", "lon",
}

// Words are those of a table.
type Words struct {
	Headings []string          // one for each of Columns, with its unit
	Word     map[string]string // for making, ebbing, high, low, slack, dark, dawn, day, dusk, yes
}

// CSV writes a table as RFC 4180 says, in UTF-8: a heading and one row a line that was noted. Numbers are bare numbers with a decimal point;
// a cell with several lists them with spaces between. What is not known is empty, and never 0. The rod-hours of a message stand in the
// first of its rows alone, so that a column can be summed.
func CSV(l Log, w Words) ([]byte, error) {
	if len(w.Headings) != len(Columns) {
		return nil, fmt.Errorf("%d headings for %d columns", len(w.Headings), len(Columns))
	}
	var out bytes.Buffer
	c := csv.NewWriter(&out)
	c.UseCRLF = true
	head := make([]string, len(Columns))
	for i, h := range w.Headings {
		head[i] = text(h)
	}
	if err := c.Write(head); err != nil {
		return nil, fmt.Errorf("write a table: %w", err)
	}
	word := func(s string) string {
		if x, ok := w.Word[s]; ok {
			return text(x)
		}
		return text(s)
	}
	for i, t := range l.Trips {
		said := ""
		for _, e := range t.Entries {
			row := map[string]string{}
			at := e.At.In(t.Zone)
			row["date"], row["time"], row["zone"] = at.Format(time.DateOnly), at.Format("15:04"), text(t.Zone.String())
			row["trip"], row["ledge"], row["who"] = strconv.Itoa(i+1), text(t.Ledge), text(l.by(e))
			plain, scientific := fishOf(e)
			kept, released, unsaid := tally.Fate(e)
			row["count"] = "0"
			if !e.Blank {
				row["fish"], row["scientific"], row["written"] = text(plain), text(scientific), text(written(e))
				row["count"], row["kept"], row["released"], row["unsaid"] = strconv.Itoa(e.Count), strconv.Itoa(kept), strconv.Itoa(released), strconv.Itoa(unsaid)
			}
			var lengths, weights []string
			for _, um := range e.LengthsUM {
				lengths = append(lengths, decimal(float64(um)/10_000, 2))
			}
			for _, g := range e.WeightsG {
				weights = append(weights, decimal(g, 0))
			}
			row["lengths_cm"], row["measure"], row["weights_g"] = strings.Join(lengths, " "), text(e.Measure), strings.Join(weights, " ")
			if e.Estimated {
				row["guessed"] = word("yes")
			}
			message, _, _ := strings.Cut(e.ID, "-")
			if e.RodMin > 0 && (message != said || message == "") {
				said = message
				row["rod_hours"] = decimal(float64(e.RodMin)/60, 2)
				if e.Rods > 0 {
					row["rods"] = strconv.Itoa(e.Rods)
				}
			}
			if x := e.Then; x != nil {
				if x.Tide != nil {
					row["tide"], row["tide_m"], row["datum"] = word(x.Tide.Stage), decimal(x.Tide.HeightM, 2), text(x.Tide.Datum)
					row["turn"], row["turn_h"] = word(x.Tide.Turn), decimal(float64(x.Tide.TurnMin)/60, 1)
				}
				if x.Sea != nil {
					row["hs_m"] = decimal(x.Sea.HsM, 2)
					if x.Sea.PeriodS > 0 {
						row["period_s"] = decimal(x.Sea.PeriodS, 1)
					}
					if x.Sea.FromDeg != nil {
						row["from_deg"] = decimal(*x.Sea.FromDeg, 0)
					}
				}
				row["light"] = word(x.Light)
			}
			if p := t.Place; p != nil {
				row["lat"], row["lon"] = decimal(p.Lat, 1), decimal(p.Lon, 1)
			}
			cells := make([]string, len(Columns))
			for j, k := range Columns {
				cells[j] = row[k]
			}
			if err := c.Write(cells); err != nil {
				return nil, fmt.Errorf("write a table: %w", err)
			}
		}
	}
	c.Flush()
	if err := c.Error(); err != nil {
		return nil, fmt.Errorf("write a table: %w", err)
	}
	return out.Bytes(), nil
}
