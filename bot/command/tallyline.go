package command

import (
	"slices"
	"strconv"
	"strings"
)

// TallyLine is what somebody asks of what was caught over time.
type TallyLine struct {
	What    TallyWhat
	On      bool   // with TallyCounts, TallyName
	By      string // with TallyCompare: tide, light, "" for nothing
	Month   int    // with TallySeason, 1 to 12
	Year    int    // of the season asked for, 0: the present one
	Licence string // with TallyLicence: CC0, CC-BY, CC-BY-NC, "" for none
	Rest    string // with TallyLedge: the name of a ledge
}

// TallyWhat is which of it.
type TallyWhat string

// What can be asked for.
const (
	TallyMine       TallyWhat = "mine"
	TallyCrew       TallyWhat = "crew"
	TallyLedge      TallyWhat = "ledge"
	TallyExport     TallyWhat = "export"
	TallyExportMine TallyWhat = "export-mine"
	TallyCounts     TallyWhat = "counts"  // how many each, by name
	TallyCompare    TallyWhat = "compare" // the one comparison a crew may choose
	TallySeason     TallyWhat = "season"  // in which month a season begins
	TallyLicence    TallyWhat = "licence" // under which an export may be used
	TallyName       TallyWhat = "name"    // whether the writer's own name stands in an export
)

// TallyExample is one line that is read.
const TallyExample = "/tally crew"

// The words for each, as they are typed in either language, without accents.
var tallyWords = map[string]TallyWhat{
	"me": TallyMine, "mine": TallyMine, "my": TallyMine, "yo": TallyMine, "mio": TallyMine, "mias": TallyMine, "mios": TallyMine,
	"crew": TallyCrew, "group": TallyCrew, "us": TallyCrew, "all": TallyCrew, "grupo": TallyCrew, "todos": TallyCrew, "cuadrilla": TallyCrew,
	"export": TallyExport, "exports": TallyExport, "file": TallyExport, "exportar": TallyExport, "exporta": TallyExport, "archivo": TallyExport,
	"counts": TallyCounts, "count": TallyCounts, "recuento": TallyCounts, "recuentos": TallyCounts,
	"compare": TallyCompare, "comparison": TallyCompare, "comparar": TallyCompare, "compara": TallyCompare,
	"season": TallySeason, "temporada": TallySeason,
	"licence": TallyLicence, "license": TallyLicence, "licencia": TallyLicence,
	"name": TallyName, "names": TallyName, "nombre": TallyName,
}

var (
	tallyOn   = []string{"on", "yes", "si"}
	tallyOff  = []string{"off", "no", "none", "nothing", "ninguna", "nada"}
	tallyTide = []string{"tide", "tides", "marea", "mareas"}
	tallyLit  = []string{"light", "luz"}
)

var licences = map[string]string{
	"cc0": "CC0", "cc0-1.0": "CC0", "cc-by": "CC-BY", "ccby": "CC-BY", "cc-by-4.0": "CC-BY", "cc-by-nc": "CC-BY-NC", "ccbync": "CC-BY-NC", "cc-by-nc-4.0": "CC-BY-NC",
}

// Tally reads "crew", "crew 2025", "Anvil", "export mine", "counts on", "compare tide", "season from July", "licence CC BY", "name on", and the same in
// Spanish. Nothing is the writer's own. What begins with none of the words is the name of a ledge. Ledges whose names begin with one of them
// are meant where the caller knows them: it looks first.
func Tally(line string) (TallyLine, error) {
	words := strings.Fields(line)
	if len(words) == 0 {
		return TallyLine{What: TallyMine}, nil
	}
	first := fold(strings.ToLower(strings.Trim(words[0], ",.:")))
	out := TallyLine{What: tallyWords[first]}
	rest := words[1:]
	if y, ok := year(first); ok && len(rest) == 0 {
		return TallyLine{What: TallyMine, Year: y}, nil
	}
	said := func(why Word) (TallyLine, error) {
		return TallyLine{}, &Unread{Said: strings.TrimSpace(line), Why: why, Example: TallyExample}
	}
	lower := fold(strings.ToLower(strings.Join(rest, " ")))
	switch out.What {
	case TallyMine, TallyCrew:
		if len(rest) == 0 {
			return out, nil
		}
		y, ok := year(rest[0])
		if !ok || len(rest) > 1 {
			return said(WhyToken)
		}
		out.Year = y
	case TallyExport:
		switch {
		case lower == "":
		case tallyWords[lower] == TallyMine:
			out.What = TallyExportMine
		default:
			return said(WhyToken)
		}
	case TallyCounts, TallyName:
		if out.On = slices.Contains(tallyOn, lower); !out.On && !slices.Contains(tallyOff, lower) {
			return said(WhyMissing)
		}
	case TallyCompare:
		switch {
		case slices.Contains(tallyTide, lower):
			out.By = "tide"
		case slices.Contains(tallyLit, lower):
			out.By = "light"
		case !slices.Contains(tallyOff, lower):
			return said(WhyMissing)
		}
	case TallySeason:
		m, ok := monthNamed(strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(lower, "from "), "desde ")))
		if !ok {
			return said(WhyMissing)
		}
		out.Month = m
	case TallyLicence:
		if slices.Contains(tallyOff, lower) {
			return out, nil
		}
		l, ok := licences[strings.ReplaceAll(lower, " ", "-")]
		if !ok {
			return said(WhyMissing)
		}
		out.Licence = l
	default:
		out.What, out.Rest = TallyLedge, strings.Join(words, " ")
	}
	return out, nil
}

// year reads the four digits of a year in which somebody may have fished.
func year(s string) (int, bool) {
	y, err := strconv.Atoi(s)
	return y, err == nil && len(s) == 4 && y >= 1990 && y <= 2100
}

// monthNamed reads a month by name, in either language, or by number.
func monthNamed(s string) (int, bool) {
	if n, err := strconv.Atoi(s); err == nil {
		return n, n >= 1 && n <= 12
	}
	if m := months[s]; m != 0 {
		return int(m), true
	}
	m := spanishMonths[s]
	return int(m), m != 0
}
