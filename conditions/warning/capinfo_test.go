package warning

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ledgehand/conditions"
)

func TestLanguages(t *testing.T) {
	m := message(t, "coastal_event_bilingual_onset_later.constructed.xml")
	const es, en = "Aviso de fenómenos costeros de nivel naranja", "Severe coastal event warning"
	third := changed(m, func(m *Message) { m.Infos[1].Language = "gl" }) // no English at all
	for _, tc := range []struct {
		langs []string
		m     Message
		want  string
	}{
		{[]string{"es-ES"}, m, es}, {[]string{"es"}, m, es}, {[]string{"ES-mx"}, m, es}, {[]string{"en"}, m, en},
		{nil, m, en}, {[]string{""}, m, en}, {[]string{"de"}, m, en}, {[]string{"de", "es"}, m, es}, {[]string{"en_US", "es"}, m, en},
		{[]string{"de"}, third, es}, {[]string{"gl"}, third, en},
	} {
		j := one(t, "2026-12-05T12:00:00Z", at(43.3, -9), tc.langs, Geocodes{}, tc.m)
		if j.Event != tc.want {
			t.Errorf("%q: event %q, want %q", tc.langs, j.Event, tc.want)
		}
		if j.Standing != ToCome || j.Concern != conditions.Amber || yesNo(j.Covers) != "yes" || !j.Onset.Equal(ts("2026-12-06T11:00:00Z")) {
			t.Errorf("%q: %+v, want to come, amber, here, whatever the language", tc.langs, j)
		}
	}
}

// hazardsAt lists what is judged of a message: the gravest first.
func hazardsAt(m Message, lat, lon float64, langs ...string) []string {
	var out []string
	for _, j := range JudgeCAP([]Message{m}, at(lat, lon), ts("2026-12-05T15:00:00Z"), langs, Geocodes{}) {
		out = append(out, fmt.Sprintf("%s|%s|%s|%s", j.ID, j.Event, j.Concern, yesNo(j.Covers)))
	}
	return out
}

func TestHazards(t *testing.T) {
	m := message(t, "two_hazards_two_languages.constructed.xml")
	t.Run("two events in two languages are two, the gravest first", func(t *testing.T) {
		want := []string{"EX-TWO-1#2|Extreme coastal event warning|red|yes", "EX-TWO-1|Moderate fog warning|note|yes"}
		if got := hazardsAt(m, 38.5, -9); !slices.Equal(got, want) {
			t.Errorf("hazards = %q, want %q", got, want)
		}
	})
	t.Run("in the other language", func(t *testing.T) {
		want := []string{"EX-TWO-1#2|Agitação marítima|red|yes", "EX-TWO-1|Nevoeiro|note|yes"}
		if got := hazardsAt(m, 38.5, -9, "pt-BR"); !slices.Equal(got, want) {
			t.Errorf("hazards = %q, want %q", got, want)
		}
	})
	t.Run("a translation without shapes is placed by the other", func(t *testing.T) {
		bare := changed(m, func(m *Message) { m.Infos[2].Areas = nil })
		want := []string{"EX-TWO-1#2|Agitação marítima|red|no", "EX-TWO-1|Nevoeiro|note|no"}
		if got := hazardsAt(bare, 50, 0, "pt"); !slices.Equal(got, want) {
			t.Errorf("hazards = %q, want %q", got, want)
		}
	})
	t.Run("or the other way round", func(t *testing.T) {
		bare := changed(m, func(m *Message) { m.Infos[3].Areas = nil })
		if got := hazardsAt(bare, 38.5, -9); len(got) != 2 || got[0] != "EX-TWO-1#2|Extreme coastal event warning|red|yes" {
			t.Errorf("hazards = %q, want two, placed", got)
		}
	})
	t.Run("the very tag before its like", func(t *testing.T) {
		h := hazard{blocks: []Info{{Language: "pt-PT", Event: "a"}, {Language: "pt-BR", Event: "b"}}}
		for want, lang := range map[string]string{"a": "pt", "b": "PT-br"} {
			if got := h.choose([]string{lang}).Event; got != want {
				t.Errorf("choose(%s) = %s, want %s", lang, got, want)
			}
		}
	})
	t.Run("the same words for two areas are one, for two places", func(t *testing.T) {
		twice := changed(m, func(m *Message) {
			m.Infos = m.Infos[2:]
			more := slices.Clone(m.Infos)
			for i := range more {
				more[i].Areas = []Area{{Desc: "Islands", Circles: []Circle{{Centre: at(33, -17)[0], Km: 50}}}}
			}
			m.Infos = append(m.Infos, more...)
		})
		for _, p := range [][2]float64{{38.5, -9}, {33, -17}} {
			if got := hazardsAt(twice, p[0], p[1]); len(got) != 1 || !strings.HasSuffix(got[0], "|yes") {
				t.Errorf("hazards at %v = %q, want one, here", p, got)
			}
		}
	})
	t.Run("where is said once", func(t *testing.T) {
		twice := changed(m, func(m *Message) {
			m.Infos = m.Infos[3:]
			m.Infos[0].Areas = append(slices.Clone(m.Infos[0].Areas), Area{Desc: "Islands"}, m.Infos[0].Areas[0], Area{})
		})
		if j := JudgeCAP([]Message{twice}, nil, ts("2026-12-05T15:00:00Z"), nil, Geocodes{})[0]; j.Area != "Coast; Islands" {
			t.Errorf("Area = %q, want each once", j.Area)
		}
	})
	t.Run("two languages for two regions stay two", func(t *testing.T) {
		two := changed(m, func(m *Message) {
			m.Infos = m.Infos[2:]
			m.Infos[1].Areas = []Area{{Desc: "Islands", Circles: []Circle{{Centre: at(33, -17)[0], Km: 50}}}}
		})
		if got := hazardsAt(two, 38.5, -9); len(got) != 2 || !strings.Contains(strings.Join(got, " "), "Agitação marítima|red|yes") {
			t.Errorf("hazards = %q, want both, the one of this region here", got)
		}
	})
	t.Run("an event at two times is two", func(t *testing.T) {
		again := changed(m, func(m *Message) {
			later := m.Infos[3]
			later.Onset = later.Expires
			later.Expires = later.Onset.Add(6 * 3600e9)
			m.Infos = []Info{m.Infos[3], later}
		})
		if got := hazardsAt(again, 38.5, -9); len(got) != 2 {
			t.Errorf("hazards = %q, want two", got)
		}
	})
}

func TestBadPolygons(t *testing.T) {
	m := message(t, "bad_polygon_unclosed_and_lonlat_order.constructed.xml")
	for _, tc := range []struct {
		lat, lon float64
		want     string
	}{{51.5, -9, "yes"}, {-33.8, 151.4, "yes"}, {10, 10, "not known"}} {
		if j := one(t, "2026-12-05T13:00:00Z", at(tc.lat, tc.lon), nil, Geocodes{}, m); yesNo(j.Covers) != tc.want || j.Standing != InForce {
			t.Errorf("at %v, %v: %s, %q, want %s, in force", tc.lat, tc.lon, yesNo(j.Covers), j.Standing, tc.want)
		}
	}
}

func TestAntimeridianMessage(t *testing.T) {
	m := message(t, "antimeridian_swell.constructed.xml")
	for _, tc := range []struct {
		lon  float64
		want string
	}{{178.4, "yes"}, {-179.5, "yes"}, {180, "yes"}, {151.3, "no"}, {0, "no"}} {
		if j := one(t, "2026-12-05T07:00:00Z", at(-18, tc.lon), nil, Geocodes{}, m); yesNo(j.Covers) != tc.want {
			t.Errorf("at longitude %v: %s, want %s", tc.lon, yesNo(j.Covers), tc.want)
		}
	}
}

func TestGeocodeOnlyMessage(t *testing.T) {
	m := message(t, "geocode_only.constructed.xml")
	g := outlines(t, sampleCAP(t, "geocode_outlines.constructed.geojson"))
	for _, tc := range []struct {
		name     string
		codes    Geocodes
		lat, lon float64
		want     string
	}{{"no outlines", Geocodes{}, 48.1, -4.5, "not known"}, {"here", g, 48.1, -4.5, "yes"}, {"elsewhere", g, 43, 5, "no"}} {
		j := one(t, "2026-12-05T12:00:00Z", at(tc.lat, tc.lon), nil, tc.codes, m)
		if yesNo(j.Covers) != tc.want || j.Standing != InForce || j.Concern != conditions.Amber || !slices.Equal(j.Codes, []string{"XX901", "XX902"}) || j.Area != "Deux zones" {
			t.Errorf("%s: %+v, want %s, in force, amber", tc.name, j, tc.want)
		}
	}
}
