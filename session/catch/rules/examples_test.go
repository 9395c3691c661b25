package rules

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const examples = "../../../testdata/fish/rules/"

func example(t testing.TB, id string) *Pack {
	t.Helper()
	data, err := os.ReadFile(examples + id + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := Load(data)
	if err != nil {
		t.Fatalf("Load(%s): %v", id, err)
	}
	return p
}

func exampleIDs(t testing.TB) (ids []string) {
	t.Helper()
	files, err := filepath.Glob(examples + "*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no examples: %v", err)
	}
	for _, f := range files {
		ids = append(ids, strings.TrimSuffix(filepath.Base(f), ".yaml"))
	}
	return ids
}

// What the season column says in words, as from..to and meaning.
var seasonsOf = map[string][]string{
	"closed May-August in rivers and estuaries":  {"05-01..08-31 closed in rivers"},
	"closed 15 Oct - end of Feb":                 {"10-15..02-29 closed"},
	"closed 1 Oct - 30 Nov":                      {"10-01..11-30 closed"},
	"closed 1 Sep - 30 Nov":                      {"09-01..11-30 closed"},
	"open 1 Jul - 31 Dec (2021)":                 {"07-01..12-31 keep-only"},
	"from 1 June 2021":                           {"valid 2021-06-01.."},
	"closed 1 Apr - 31 Jul":                      {"04-01..07-31 closed"},
	"closed 15 Oct - 30 Nov":                     {"10-15..11-30 closed"},
	"closed 15 Dec - 31 Jan and 1 Jun - 31 Aug":  {"12-15..01-31 closed", "06-01..08-31 closed"},
	"catch and release 1 Feb - 31 Mar":           {"02-01..03-31 no-keep"},
	"no bass fishing 1 May - 31 Oct":             {"05-01..10-31 no-fish"},
	"keep only 1 Mar - 30 Nov":                   {"03-01..11-30 keep-only"},
	"no bass angling 15 May - 15 Jun":            {"05-15..06-15 no-fish"},
	"keep none 1 Jan - 30 Apr (release allowed)": {"01-01..04-30 no-keep"},
	"closed 1 Feb - 14 Mar 2025":                 {"valid 2025-02-01..2025-03-14", "2025-02-01..2025-03-14 closed"},
	"12 cm or less barred 1 Jul - 30 Sep":        {"in force 07-01..09-30", "exclusive"},
}

// What the exception column says in words.
var exceptionsOf = map[string]func(p *Pack, r *Rule) bool{
	"5 inside Lord Howe Marine Park": func(p *Pack, r *Rule) bool {
		x, ok := p.Find("r006-lord-howe")
		return ok && x.Bag.Fish() == 5 && slices.Equal(x.Areas, []string{"lord-howe"}) && slices.Equal(x.ExceptionTo, []string{r.ID})
	},
	"line-fishing ban extended three years from 1 March 2025": func(_ *Pack, r *Rule) bool {
		return len(r.Seasons) == 1 && r.Seasons[0].From.String() == "2025-03-01" && r.Seasons[0].To.String() == "2028-02-29" && r.Seasons[0].Means == NoFish
	},
	"only 1 over 350 mm": func(_ *Pack, r *Rule) bool { return r.Over.Than.UM == 350_000 && r.Over.N == 1 },
	"default rule":       func(_ *Pack, r *Rule) bool { return r.Default },
	"4 rods or lines, up to 3 hooks each (gangs counted apart)": func(_ *Pack, r *Rule) bool {
		return r.Gear[0].Most == 4 && r.Gear[1].Most == 3 && r.Gear[1].Text == "gangs counted apart"
	},
	"only 1 over 600 mm":          func(_ *Pack, r *Rule) bool { return r.Over.Than.UM == 600_000 && r.Over.N == 1 },
	"measured from the upper jaw": func(_ *Pack, r *Rule) bool { return r.Measure == UJ && r.Measured == "from the upper jaw" },
	"slot; keep only between":     func(_ *Pack, r *Rule) bool { return r.Min.UM == 360_000 && r.Max.UM == 460_000 && r.Over == nil },
	"bag from a secondary page":   func(_ *Pack, r *Rule) bool { return r.BagFrom == Secondary },
	"bag from a news page":        func(_ *Pack, r *Rule) bool { return r.BagFrom == Secondary },
	"sharks, rays, skates 1; rockcods 5": func(p *Pack, _ *Rule) bool {
		a, ok := p.Find("r074-sharks")
		b, also := p.Find("r074-rockcods")
		return ok && also && a.Bag.Fish() == 1 && b.Bag.Fish() == 5
	},
	"specified baitfish and freshwater eels outside":        func(_ *Pack, r *Rule) bool { return r.ButOpen && slices.Contains(r.But, "Anguilla spp.") },
	"legal or undersize fish put back at once do not count": func(_ *Pack, r *Rule) bool { return r.Counts == "no" },
	"no longer current: later lists protect it":             func(_ *Pack, r *Rule) bool { return r.Disagree != "" },
	"later rules differ by area and by shore or boat":       func(_ *Pack, r *Rule) bool { return r.Disagree != "" },
	"minimum 6.4 kg whole mass: a weight limit":             func(_ *Pack, r *Rule) bool { return r.MinWeight.UG == 6_400_000_000 },
	"shore catch exempt":                                    func(_ *Pack, r *Rule) bool { return r.Applies.Mode == Boat },
	"or 10 in alternate length (processed fish)":            func(_ *Pack, r *Rule) bool { return r.Processed.Min.UM == 254_000 },
	"or 17 in alternate length":                             func(_ *Pack, r *Rule) bool { return r.Processed.Min.UM == 431_800 },
	"or 5 lb; up to 5 fish may be under both":               func(_ *Pack, r *Rule) bool { return r.EitherOr && r.MinWeight.UG == 2_267_961_850 && r.Undersize == 5 },
	"south of it: no minimum": func(p *Pack, r *Rule) bool {
		x, ok := p.Find("r093-south")
		return ok && x.Min == nil && slices.Equal(x.Areas, []string{"south"}) && slices.Equal(r.Areas, []string{"north"})
	},
	"1 over 24 in may be kept":                    func(_ *Pack, r *Rule) bool { return r.Over.Than.UM == 609_600 && r.Over.N == 1 },
	"at most 2 a vessel":                          func(_ *Pack, r *Rule) bool { return r.Vessel.Fish() == 2 },
	"1 over 22 in; at most 2 over 22 in a vessel": func(_ *Pack, r *Rule) bool { return r.Over.Than.UM == 558_800 && r.Over.N == 1 && r.Over.Vessel == 2 },
	"vessel limit 8; 6 in transport":              func(_ *Pack, r *Rule) bool { return r.Vessel.Fish() == 8 && r.Transport.Fish() == 6 },
	"extra permit needed":                         func(_ *Pack, r *Rule) bool { return r.Needs != "" },
	"a closed area inside an open one": func(p *Pack, r *Rule) bool {
		a, ok := p.area(r.Areas[0])
		return ok && a.Inside == "england"
	},
	"rolling 24 hours, not a calendar day":            func(_ *Pack, r *Rule) bool { return r.Bag.Period == Any24 },
	"or 5.5 kg":                                       func(_ *Pack, r *Rule) bool { return r.EitherOr && r.MinWeight.UG == 5_500_000_000 },
	"weight bag; caught fish marked by cutting a fin": func(_ *Pack, r *Rule) bool { return r.Bag.Weighs() && len(r.Handling) == 1 },
	"one fish may exceed the weight; boat cap 16 kg; octopus 2 pieces": func(p *Pack, r *Rule) bool {
		x, ok := p.Find("r133-octopus")
		return ok && x.Bag.Fish() == 2 && r.Bag.OneOver && r.Vessel.Weighs() && r.Vessel.UG() == 16_000_000_000
	},
	"6 cm or less may not be taken":  func(_ *Pack, r *Rule) bool { return r.Inclusive == "none" },
	"20 cm or less may not be taken": func(_ *Pack, r *Rule) bool { return r.Inclusive == "none" },
	"ground-bait fishing from a boat and fishing with lights barred": func(_ *Pack, r *Rule) bool {
		return r.Gear[0].Ban && r.Gear[0].Mode == Boat && r.Gear[1].Ban && r.Gear[1].What == "lights"
	},
	"ground-bait fishing barred outright in some, from boats in others": func(_ *Pack, r *Rule) bool {
		return r.Gear[0].Ban && r.Gear[0].Mode == "" && r.Gear[1].Ban && r.Gear[1].Mode == Boat && !slices.Equal(r.Gear[0].Areas, r.Gear[1].Areas)
	},
}

// What a row leaves out, so that nobody can put it into a rule: the row is held as far as it goes.
var leftOut = map[string]string{
	"r050": "which baitfish are outside is not in the row: a fish without a rule of its own is not known to count (but_open)",
	"r076": "the row's list of species ends in dots: a fish without a rule of its own is not known to count (open_list)",
	"r101": "which zone has which bag is not in the row: two areas without a place, and the crew says in which it fishes",
	"r139": "which prefectures is not in the row: two areas without a place",
}

var (
	totals   = regexp.MustCompile(`: (\d+)( in total)?`)
	sublimit = regexp.MustCompile(`sub-limit (\d+)`)
)

// Every row of the table of published rules, held against the example that expresses it: the tables' sources stand in the rows.
func TestEveryExampleIsExpressed(t *testing.T) {
	f, err := os.Open(examples + "rows.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	packs := map[string]*Pack{}
	for _, id := range exampleIDs(t) {
		p := example(t, id)
		if !p.Example || !p.CheckedOn.IsZero() {
			t.Errorf("%s is not marked an example that nobody checked", id)
		}
		packs[p.Jurisdiction] = p
	}
	if len(packs) != 18 {
		t.Errorf("%d jurisdictions, want 18", len(packs))
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	held := 0
	for _, row := range rows[1:] {
		get := func(name string) string { return row[column[name]] }
		id, failed := get("rule_id"), false
		bad := func(what string, got any) {
			failed = true
			t.Errorf("%s %s: %s is %v, the row says %q", id, get("species_common_name"), what, got, row)
		}
		p := packs[get("jurisdiction")]
		if p == nil {
			t.Errorf("%s: no pack for %s", id, get("jurisdiction"))
			continue
		}
		r, ok := p.Find(id)
		if !ok {
			t.Errorf("%s is in no pack", id)
			continue
		}
		// Where the fish counts: its own bag, that of its groups, the caps.
		around := []*Rule{r}
		for _, g := range p.Groups {
			if slices.Contains(r.Inside, g.ID) {
				around = append(around, g)
			}
		}
		around = append(around, p.Caps...)
		bag := func(n int) bool {
			return slices.ContainsFunc(around, func(x *Rule) bool { return x.Bag != nil && x.Bag.N.Milli == int64(n)*1000 })
		}

		for i, name := range strings.FieldsFunc(get("scientific_name"), func(r rune) bool { return r == ';' }) {
			name = strings.TrimSpace(name)
			if name == "..." {
				if !r.Open {
					bad("open_list", r.Open)
				}
				continue
			}
			if genus, _, _ := strings.Cut(r.Species[0], " "); len(name) > 2 && name[1] == '.' {
				name = genus + name[2:]
			}
			if i >= len(r.Species) || r.Species[i] != name {
				bad("species", r.Species)
			}
		}
		if m := get("measure"); m != "weight" && string(r.Measure) != m {
			bad("measure", r.Measure)
		}
		for _, l := range []struct {
			said string
			got  *Length
		}{{get("min_mm"), r.Min}, {get("max_mm"), r.Max}} {
			mm, err := strconv.ParseFloat(l.said, 64)
			if l.said == "" && l.got != nil || l.said != "" && (err != nil || l.got == nil || l.got.UM != int(mm*1000+0.5)) {
				bad("length", l.got)
			}
		}
		switch said := get("bag"); said {
		case "":
			if r.Bag != nil {
				bad("bag", r.Bag.N)
			}
		case "1 or 2 by zone":
			x, ok := p.Find("r101-bag-2")
			if !ok || r.Bag.Fish() != 1 || x.Bag.Fish() != 2 || slices.Equal(r.Areas, x.Areas) {
				bad("bag", r.Bag)
			}
		default:
			n, err := strconv.Atoi(said)
			if err != nil || !bag(n) {
				bad("bag", r.Bag)
			}
			unit := strings.Split(get("bag_unit"), "/")
			for _, x := range around {
				if b := x.Bag; b != nil && b.N.Milli == int64(n)*1000 && (b.Unit != unit[0] || b.Per != unit[1] || b.Period != unit[2]) {
					bad("unit", *b)
				}
			}
		}
		switch said := get("group"); {
		case said == "":
		case said == "apart from general marine":
			if g, _ := p.Find("r076"); p.covers(g, fish{sci: r.Species[0]}) != no {
				bad("group", g.ID)
			}
		case said == "overall 10 fish a day":
			if len(p.Caps) != 1 || p.Caps[0].Bag.Fish() != 10 {
				bad("cap", p.Caps)
			}
		default:
			m := totals.FindStringSubmatch(said)
			if n, _ := strconv.Atoi(m[1]); !slices.ContainsFunc(around, func(x *Rule) bool { return (x.kind != isRule) && x.Bag != nil && x.Bag.Fish() == n }) {
				bad("group", r.Inside)
			}
			if m := sublimit.FindStringSubmatch(said); m != nil && strconv.Itoa(r.Bag.Fish()) != m[1] {
				bad("sub-limit", r.Bag)
			}
			if strings.Contains(said, "at most 10 of one species") && r.OfOneKind != 10 {
				bad("of one kind", r.OfOneKind)
			}
		}
		if said := get("possession"); said != "" {
			if !slices.ContainsFunc(around, func(x *Rule) bool {
				if x.Possession == nil {
					return false
				}
				n, times := x.Possession.Fish(), x.Possession.Times
				switch said {
				case "equal to bag":
					return times == 1
				case "20 (twice the group bag)":
					return times == 2 && x.kind == isGroup && x.Bag.Fish() == 10
				}
				return strconv.Itoa(n) == said
			}) {
				bad("possession", r.Possession)
			}
		}
		if want := seasonsOf[get("season")]; get("season") != "" && len(want) == 0 {
			t.Errorf("%s: nobody said here what the season %q should be", id, get("season"))
		} else {
			var got []string
			if !r.ValidFrom.IsZero() || !r.ValidTo.IsZero() {
				to := ""
				if !r.ValidTo.IsZero() {
					to = r.ValidTo.Format("2006-01-02")
				}
				got = append(got, "valid "+r.ValidFrom.Format("2006-01-02")+".."+to)
			}
			for _, s := range r.InForce {
				got = append(got, "in force "+s.From.String()+".."+s.To.String())
			}
			for _, s := range r.Seasons {
				x := s.From.String() + ".." + s.To.String() + " " + s.Means
				if len(s.Where) > 0 {
					x += " in " + s.Where[0]
				}
				got = append(got, x)
			}
			if slices.Contains(want, "exclusive") && r.Inclusive == "none" {
				got = append(got, "exclusive")
			}
			if get("exception") != "line-fishing ban extended three years from 1 March 2025" && !slices.Equal(got, want) {
				bad("season", got)
			}
		}
		if said := get("exception"); said != "" {
			if check := exceptionsOf[said]; check == nil {
				t.Errorf("%s: nobody said here what %q should be", id, said)
			} else if !check(p, r) {
				bad("exception", said)
			}
			if r.Text != "" && !strings.Contains(r.Text, said) {
				bad("text", r.Text)
			}
		}
		st := p.stated(r)
		prov := Provenance(get("provenance"))
		for _, known := range []Provenance{Copied, Secondary} {
			if strings.HasPrefix(string(prov), string(known)) {
				prov = known
			}
		}
		if st.Source != get("source") || st.AsOf != get("as_of") || st.Provenance != prov {
			bad("stated", st)
		}
		if said := get("measure_stated"); said != "" && r.lengths() && r.MeasureFrom != said {
			bad("measure_stated", r.MeasureFrom)
		}
		if boat := get("applies_to") == "boat"; boat != (r.Applies.Mode == Boat) {
			bad("applies", r.Applies)
		}
		if a := get("area"); p.Waters != a && len(r.Areas)+len(r.NotIn) == 0 && a != "boat only" {
			bad("area", a)
		}
		if !failed {
			held++
		}
	}
	t.Logf("%d of %d rows are held", held, len(rows)-1)
	for id, why := range leftOut {
		t.Logf("%s: %s", id, why)
	}
}
