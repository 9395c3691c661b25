package rules

import (
	"errors"
	"os"
	"strings"
	"testing"
)

const head = "format: 1\nid: x\ntitle: t\njurisdiction: IE\nsource: s\nas_of: '2026'\nprovenance: official\n"

func TestLoadRefuses(t *testing.T) {
	one := func(lines string) string {
		return head + "rules:\n  - id: a\n    name: bass\n    species: [Dicentrarchus labrax]\n" + lines // its lines begin at 12
	}
	for _, tt := range []struct {
		name, file string
		line       int
		why        Why
		want       string // part of what to type instead
	}{
		{"Empty", "", 1, WhyMissing, "format"},
		{"NoYAML", "format: 1\n\trules: [", 2, WhySyntax, ""},
		{"NoJSON", "{\"format\": 1,\n\"id\": }", 2, WhySyntax, ""},
		{"JSONAndMore", "{}\n{}", 2, WhySyntax, ""},
		{"NoText", "format: \xff", 0, WhyText, ""},
		{"TooBig", strings.Repeat("# long\n", MostBytes/7+2), 0, WhyBig, "64"},
		{"AList", "- 1", 1, WhyMap, ""},
		{"OtherFormat", "format: 2", 1, WhyWord, "1"},
		{"NoRules", head, 1, WhyMissing, "rules"},
		{"Misspelt", one("    mininum: 25 cm\n"), 12, WhyField, ""},
		{"NearlyMin", one("    mim: 25 cm\n"), 12, WhyField, "min"},
		{"Twice", one("    min: 25 cm\n    min: 26 cm\n"), 13, WhyTwice, ""},
		{"NoUnit", one("    min: 25\n"), 12, WhyUnit, "25 cm"},
		{"OddUnit", one("    min: 25 spans\n"), 12, WhyUnit, "25 cm"},
		{"TooFine", one("    min: 10.00001 in\n"), 12, WhyFine, ""},
		{"Nothing", one("    min: 1/0 in\n"), 12, WhyNumber, ""},
		{"Endless", one("    min: 999999999999 m\n"), 12, WhyRange, ""},
		{"Alias", one("    min: &a 25 cm\n    max: *a\n"), 12, WhyAlias, ""},
		{"Tag", one("    min: !!binary 25\n"), 12, WhyAlias, ""},
		{"Merge", one("    <<: {min: 25 cm}\n"), 12, WhyAlias, ""},
		{"Second", head + "---\na: 1\n", 0, WhyAlias, ""},
		{"Deep", one("    text: " + strings.Repeat("[", 40) + strings.Repeat("]", 40) + "\n"), 12, WhyDeep, ""},
		{"LongText", one("    text: " + strings.Repeat("x", 700) + "\n"), 12, WhyLong, ""},
		{"Null", one("    bag:\n"), 12, WhyMissing, ""},
		{"BagInWords", one("    bag: two\n"), 12, WhyNumber, "10"},
		{"HalfAFish", one("    bag: 2.5\n"), 12, WhyNumber, ""},
		{"LessThanNone", one("    bag: -2\n"), 12, WhyNumber, ""},
		{"BagWithoutN", one("    bag: {per: person}\n"), 12, WhyMissing, "n: 10"},
		{"OddPeriod", one("    bag: {n: 2, period: week}\n"), 12, WhyWord, "any 24 h"},
		{"OddPossession", one("    bag: 2\n    possession: triple\n"), 13, WhyWord, "double"},
		{"DoubleOfNothing", one("    possession: double\n"), 12, WhyClash, "bag"},
		{"EitherOfOne", one("    min: 25 cm\n    either_or: true\n"), 13, WhyClash, "min_weight"},
		{"MaxUnderMin", one("    min: 25 cm\n    max: 9 in\n"), 13, WhyClash, ""},
		{"NoDay", one("    seasons:\n      - {from: 31 Feb, to: 1 Mar, means: closed}\n"), 13, WhyDay, "15 Oct"},
		{"NoMeaning", one("    seasons:\n      - {from: 1 Feb, to: 1 Mar}\n"), 13, WhyWord, "no-fish"},
		{"YearAtOneEnd", one("    seasons:\n      - {from: 2025-02-01, to: 1 Mar, means: closed}\n"), 13, WhyClash, ""},
		{"NoDate", one("    valid_from: 1 June 2021\n"), 12, WhyDate, "2025-03-01"},
		{"NoSuchArea", one("    areas: [bay]\n"), 12, WhyNoSuch, ""},
		{"NoSuchGroup", one("    inside: [five]\n"), 12, WhyNoSuch, ""},
		{"ExceptionToNothing", one("    exception_to: [b]\n"), 12, WhyNoSuch, ""},
		{"SameID", one("  - id: a\n    name: b\n    species: ['*']\n"), 12, WhyTwice, ""},
		{"SpeciesInSmallLetters", head + "rules:\n  - id: a\n    name: bass\n    species: [bass]\n", 11, WhyWord, "Sparus aurata"},
		{"NoSpecies", head + "rules:\n  - id: a\n    name: bass\n", 9, WhyMissing, "species"},
		{"YesIsNotTrue", one("    default: yes\n"), 12, WhyTrue, ""},
		{"GroupsInACircle", head + "groups:\n  - {id: g, name: g, species: ['*'], inside: [h]}\n  - {id: h, name: h, species: ['*'], inside: [g]}\nrules:\n  - {id: a, name: a, species: ['*']}\n", 9, WhyCircle, ""},
		{"AreasInACircle", head + "areas:\n  - {id: a, name: a, inside: b}\n  - {id: b, name: b, inside: a}\nrules:\n  - {id: r, name: a, species: ['*']}\n", 9, WhyCircle, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p, err := Load([]byte(tt.file))
			var r *Refused
			if !errors.As(err, &r) {
				t.Fatalf("Load() = %+v, %v, want a refusal", p, err)
			}
			if r.Why != tt.why || tt.line != 0 && r.Line != tt.line || !strings.Contains(r.Want, tt.want) {
				t.Errorf("Load() = %v, want line %d: %s, with %q", r, tt.line, tt.why, tt.want)
			}
		})
	}
}

// The same pack in either syntax is the same pack, and what is written is what is read.
func TestYAMLAndJSON(t *testing.T) {
	y, err := Load([]byte(head + "rules:\n  - id: a\n    name: bass\n    species: [Dicentrarchus labrax]\n    min: 12 1/2 in\n    bag: {n: 2, period: any 24 h}\n    seasons:\n      - {from: 15 Oct, to: end of Feb, means: closed}\n"))
	if err != nil {
		t.Fatal(err)
	}
	j, err := Load([]byte(`{"format": 1, "id": "x", "title": "t", "jurisdiction": "IE", "source": "s", "as_of": "2026", "provenance": "official",
	"rules": [{"id": "a", "name": "bass", "species": ["Dicentrarchus labrax"], "min": "12 1/2 in", "bag": {"n": 2, "period": "any 24 h"},
	"seasons": [{"from": "10-15", "to": "end of February", "means": "closed"}]}]}`))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []*Pack{y, j} {
		r := p.Rules[0]
		if r.Min.UM != 317_500 || r.Bag.Fish() != 2 || r.Bag.Period != Any24 || r.Seasons[0].From.String() != "10-15" || r.Seasons[0].To.String() != "02-29" {
			t.Errorf("read %+v", r)
		}
	}
}

// Whatever comes is a pack or a refusal, soon, and a pack can be judged by.
func FuzzLoad(f *testing.F) {
	for _, id := range exampleIDs(f) {
		data, err := os.ReadFile(examples + id + ".yaml")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte(`{"format": 1, "rules": [{"bag": {"n": 2}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Load(data)
		if err != nil {
			var r *Refused
			if !errors.As(err, &r) || p != nil {
				t.Fatalf("Load() = %v, %v, want a pack or a refusal", p, err)
			}
			return
		}
		now := p.CheckedOn.Time
		e := entry(now, bass, 2, long(400*mm))
		judged(Book{{Pack: p}}, now, func(c *Case) { c.Area = p.Jurisdiction }, entry(now, "thing", 1), e)
	})
}
