// Package weight estimates what a fish weighs from its length: W = a·L^b, grams and centimetres,
// with numbers published for the species. It is pure.
//
// An estimate is for the log of a day, never for a legal limit, a record or a prize: condition
// changes with the season by more than a tenth, and one study can be a quarter off. Every answer
// bears a quality letter. Where sources contradict each other, where the kind of length does not
// fit and no conversion is known, or where the length is none such a fish has, there is no answer:
// a relative's numbers are never borrowed. README.md beside this file says where each row is from
// and why it may be here.
package weight

import (
	_ "embed" // the tables
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Quality is how much an estimate is worth.
type Quality string

// The qualities. The spreads are what the table's own checks came to (testdata/README.md), not a standard.
const (
	A Quality = "A" // one study of the species with known units: within 15 % as a rule
	B Quality = "B" // a compiled value of the species: within 25 % as a rule
	C Quality = "C" // of a genus, a family or a shape of body, or a mean of studies, or a length the study did not have: within 40 %
)

// Measure is which length was taken.
type Measure string

// The lengths there are.
const (
	TL Measure = "TL" // total length: snout to the end of the tail, lobes together
	FL Measure = "FL" // fork length: snout to the fork of the tail
)

// Why says why there is no estimate.
type Why string

// The reasons.
const (
	WhyUnknown    Why = "unknown-species" // not in the table
	WhyListed     Why = "sources-differ"  // on the list of species of which no honest weight can be given
	WhyMeasure    Why = "unknown-measure" // neither TL nor FL
	WhyConversion Why = "no-conversion"   // the numbers are for the other length, and no conversion is known
	WhyLength     Why = "no-such-length"  // not a length of this species
)

// Refused says that there is no estimate, and why.
type Refused struct {
	Why    Why
	Detail string // for the operator and for calc
}

func (e *Refused) Error() string { return fmt.Sprintf("no weight: %s: %s", e.Why, e.Detail) }

// Estimate is what a fish of that length weighs as a rule.
type Estimate struct {
	Grams     float64
	Quality   Quality
	Converted bool   // the length was turned into the other kind first
	Outside   bool   // no fish of that length was in the study
	Source    string // where the numbers are from
}

// row is one relation of one species.
type row struct {
	measure          Measure
	a, b             float64
	intercept, slope float64 // TL = intercept + slope·FL, cm; slope 0: not known
	lowest, highest  float64 // the lengths studied, cm; 0: not said
	longest          float64 // the longest known, cm; 0: not said
	longestIs        string  // TL, FL, SL or ""
	quality          Quality
	source, takenAs  string
	canon            string
}

// Table is the relations held, by species.
type Table struct {
	rows    map[string][]row
	refused map[string]string
}

//go:embed length_weight.csv
var bundledCSV string

//go:embed refuse.csv
var refuseCSV string

var bundled = sync.OnceValue(func() *Table {
	t, err := Parse(strings.NewReader(bundledCSV))
	if err != nil {
		panic(err) // a test reads it
	}
	return t
})

// Bundled is the table in the program.
func Bundled() *Table { return bundled() }

// Open is the part of the bundled table that was taken straight from public reports and studies, or fitted by us:
// for operators who read the rights in the other rows more narrowly than we do.
func Open() *Table {
	t := &Table{rows: map[string][]row{}, refused: bundled().refused}
	for name, list := range bundled().rows {
		for _, r := range list {
			if r.takenAs == "public" || r.takenAs == "own" {
				t.rows[name] = append(t.rows[name], r)
			}
		}
	}
	return t
}

// Species are the scientific names with a relation, in order.
func (t *Table) Species() []string {
	var out []string
	for _, list := range t.rows {
		out = append(out, list[0].canon)
	}
	slices.Sort(out)
	return out
}

// columns a table must have; others are let be.
var columns = []string{"common_name", "scientific_name", "measure", "length_unit", "weight_unit", "a", "b", "tl_from_fl_intercept_cm", "tl_from_fl_slope",
	"valid_min_cm", "valid_max_cm", "max_len_cm", "max_len_type", "quality", "source"}

// mostRows bounds a table that somebody supplies.
const mostRows = 50_000

// Parse reads a table: CSV with a header of the columns of length_weight.csv, in any order. A row
// that cannot be right is an error with its line. The list of species that are refused is always that of the program.
func Parse(in io.Reader) (*Table, error) {
	r := csv.NewReader(in)
	head, err := r.Read()
	if err != nil {
		return nil, fmt.Errorf("read the header of the weights: %w", err)
	}
	at := map[string]int{}
	for i, c := range head {
		at[strings.TrimSpace(strings.TrimPrefix(c, "\ufeff"))] = i
	}
	for _, c := range columns {
		if _, ok := at[c]; !ok {
			return nil, fmt.Errorf("weights: column %q is missing; there must be %s", c, strings.Join(columns, ", "))
		}
	}
	t := &Table{rows: map[string][]row{}, refused: refused()}
	for n := 0; ; n++ {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) {
			return t, nil
		}
		if err != nil {
			return nil, fmt.Errorf("read the weights: %w", err)
		}
		line, _ := r.FieldPos(0)
		if n >= mostRows {
			return nil, fmt.Errorf("weights: more than %d rows", mostRows)
		}
		get := func(c string) string {
			if i, ok := at[c]; ok {
				return strings.TrimSpace(rec[i])
			}
			return ""
		}
		x, err := readRow(get)
		if err != nil {
			return nil, fmt.Errorf("weights, line %d: %w", line, err)
		}
		key := fold(x.canon)
		t.rows[key] = append(t.rows[key], x)
	}
}

func readRow(get func(string) string) (row, error) {
	var errs []error
	number := func(c string) float64 {
		s := get(c)
		if s == "" {
			return 0
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			errs = append(errs, fmt.Errorf("%s %q: not a number", c, s))
		}
		return v
	}
	x := row{
		canon: get("scientific_name"), measure: Measure(get("measure")), a: number("a"), b: number("b"),
		intercept: number("tl_from_fl_intercept_cm"), slope: number("tl_from_fl_slope"), lowest: number("valid_min_cm"), highest: number("valid_max_cm"),
		longest: number("max_len_cm"), longestIs: get("max_len_type"), quality: Quality(get("quality")), source: get("source"), takenAs: get("taken_as"),
	}
	switch {
	case len(errs) > 0:
	case x.canon == "":
		errs = append(errs, errors.New("scientific_name: missing"))
	case get("length_unit") != "cm" || get("weight_unit") != "g":
		errs = append(errs, fmt.Errorf("%s: in %s and %s, want cm and g", x.canon, get("length_unit"), get("weight_unit")))
	case x.measure != TL && x.measure != FL:
		errs = append(errs, fmt.Errorf("%s: measure %q, want TL or FL", x.canon, x.measure))
	case !(x.a > 0 && x.a < 1) || !(x.b > 2 && x.b < 4): // b is 2.5 to 3.5 as a rule: Froese 2006, J. Appl. Ichthyol. 22, 241
		errs = append(errs, fmt.Errorf("%s: a %g, b %g: no fish is shaped so", x.canon, x.a, x.b))
	case x.quality != A && x.quality != B && x.quality != C:
		errs = append(errs, fmt.Errorf("%s: quality %q, want A, B or C", x.canon, x.quality))
	case x.slope != 0 && !(x.slope >= 1 && x.slope < 1.6): // a tail ends behind its fork
		errs = append(errs, fmt.Errorf("%s: slope %g", x.canon, x.slope))
	case x.longest < 0 || x.lowest < 0 || x.highest < 0:
		errs = append(errs, fmt.Errorf("%s: a length below zero", x.canon))
	}
	return x, errors.Join(errs...)
}

func refused() map[string]string {
	out := map[string]string{}
	records, err := csv.NewReader(strings.NewReader(refuseCSV)).ReadAll()
	if err != nil {
		panic(err) // a test reads it
	}
	for _, rec := range records[1:] {
		out[fold(rec[0])] = rec[2]
	}
	return out
}

func fold(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// Fish outgrow what is written of them: a length up to so much over the longest known is believed, one beyond is a slip
// of the pen or another fish (common practice, no source: the one record in the checks is a fifth over).
const beyond = 1.3

// Where a row has no longest, a metre is: the few such fish are small ones (common practice, no source).
const metre = 100

// Of estimates what a fish of a species (scientific name) weighs that measures so many centimetres. An error is *Refused.
func (t *Table) Of(species string, m Measure, cm float64) (Estimate, error) {
	refuse := func(why Why, format string, args ...any) (Estimate, error) {
		return Estimate{}, &Refused{why, fmt.Sprintf(format, args...)}
	}
	name := fold(species)
	if why, listed := t.refused[name]; listed {
		return refuse(WhyListed, "%s", why)
	}
	list := t.rows[name]
	if len(list) == 0 {
		return refuse(WhyUnknown, "%q is not in the table, and a relative's numbers are not borrowed", species)
	}
	if m != TL && m != FL {
		return refuse(WhyMeasure, "length %q: want TL (total) or FL (fork)", m)
	}
	if !(cm > 0) || math.IsInf(cm, 0) {
		return refuse(WhyLength, "%g cm", cm)
	}
	// Of two stocks the one studied in this length: a conversion adds a doubt of its own.
	i := max(0, slices.IndexFunc(list, func(r row) bool { return r.measure == m }))
	r := list[i]
	if top := beyond * r.most(m); cm > top || cm < 1 {
		return refuse(WhyLength, "%g cm %s: %s has 1 to %.0f cm", cm, m, r.canon, top)
	}
	l, ok := r.turn(cm, m)
	if !ok {
		return refuse(WhyConversion, "the numbers for %s are for %s, and no conversion from %s is known", r.canon, r.measure, m)
	}
	if total, fork := max(l, cm), min(l, cm); !(fork > 0) || total > 1.4*fork || m == TL && l > cm || m == FL && l < cm {
		// The line was fitted to grown fish: on small ones it gives a tail that no fish has.
		return refuse(WhyLength, "%g cm %s: too small to be turned into %s", cm, m, r.measure)
	}
	e := Estimate{Grams: r.a * math.Pow(l, r.b), Quality: r.quality, Converted: r.measure != m, Source: r.source}
	if r.lowest > 0 && l < r.lowest || r.highest > 0 && l > r.highest {
		e.Outside, e.Quality = true, C
	}
	return e, nil
}

// Longest is beyond which length, cm, no fish of a species is believed; ok is false where nothing is known.
func (t *Table) Longest(species string, m Measure) (cm float64, ok bool) {
	for _, r := range t.rows[fold(species)] {
		if r.longest > 0 {
			cm, ok = max(cm, beyond*r.most(m)), true
		}
	}
	return cm, ok
}

// Heaviest is beyond which weight, grams, none is: that of the longest in the table, and a half, for the fat ones.
func (t *Table) Heaviest(species string) (grams float64, ok bool) {
	for _, r := range t.rows[fold(species)] {
		if l, turned := r.turn(beyond*r.most(r.measure), r.measure); turned && r.longest > 0 {
			grams, ok = max(grams, 1.5*r.a*math.Pow(l, r.b)), true
		}
	}
	return grams, ok
}

// turn gives a length as the kind the row is for.
func (r row) turn(cm float64, m Measure) (float64, bool) {
	switch {
	case m == r.measure:
		return cm, true
	case r.slope == 0:
		return 0, false
	case m == FL:
		return r.intercept + r.slope*cm, true
	}
	return (cm - r.intercept) / r.slope, true
}

// most is the longest known of the species, cm, as the kind of length that was asked for; where that takes a
// conversion which is not known, a tail's fifth is allowed for (lengths differ by 4 to 20 %).
func (r row) most(m Measure) float64 {
	switch {
	case r.longest == 0:
		return metre / beyond
	case r.longestIs == string(m):
		return r.longest
	case r.longestIs == string(FL) && r.slope > 0:
		return r.intercept + r.slope*r.longest
	case r.longestIs == string(TL):
		return r.longest // a fork length is shorter
	}
	return 1.2 * r.longest
}
