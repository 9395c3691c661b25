package command

import (
	"errors"
	"strings"
	"testing"
	"time"
)

// TestWhenBackInSpanish: return times as Spanish anglers type them, beside what the same line means. "ask" and "refuse" are
// as good as a reading: what may mean two things must not become one of them.
func TestWhenBackInSpanish(t *testing.T) {
	zone := zoneOf(t, "Europe/Madrid")
	now := time.Date(2026, 3, 12, 14, 30, 0, 0, zone) // a Thursday
	for line, want := range map[string]string{
		"vuelvo a las 15":                       "back Thu 12 Mar 15:00",
		"vuelvo a las 15:30":                    "back Thu 12 Mar 15:30",
		"vuelvo a las 15.30":                    "back Thu 12 Mar 15:30",
		"volvemos a las 15h":                    "back Thu 12 Mar 15:00",
		"vuelvo a las 15 h":                     "back Thu 12 Mar 15:00",
		"vuelvo a las 15h30":                    "back Thu 12 Mar 15:30",
		"vuelvo 15h30":                          "back Thu 12 Mar 15:30",
		"vuelvo a casa a las 18":                "back Thu 12 Mar 18:00",
		"vuelvo antes de las 18":                "back Thu 12 Mar 18:00",
		"vuelvo para las 18":                    "back Thu 12 Mar 18:00",
		"de vuelta a las 18":                    "back Thu 12 Mar 18:00",
		"estaré fuera a las 18":                 "back Thu 12 Mar 18:00",
		"fuera de las rocas antes de las 18:00": "back Thu 12 Mar 18:00",
		"regreso a las 6 de la tarde":           "back Thu 12 Mar 18:00",
		"hasta las 3 de la tarde":               "back Thu 12 Mar 15:00",
		"hasta las 8 de la tarde":               "back Thu 12 Mar 20:00",
		"hasta las 10 de la noche":              "back Thu 12 Mar 22:00",
		"hasta las 12 de la noche":              "back Fri 13 Mar 00:00",
		"hasta la medianoche":                   "back Fri 13 Mar 00:00",
		"hasta las 5 y media de la tarde":       "back Thu 12 Mar 17:30",
		"a las 6 menos cuarto de la tarde":      "back Thu 12 Mar 17:45",
		"vuelvo a la 1 de la madrugada":         "back Fri 13 Mar 01:00",
		"vuelvo mañana a las 9 de la mañana":    "back Fri 13 Mar 09:00",
		"mañana a las 9 de la mañana":           "back Fri 13 Mar 09:00",
		"vuelvo mañana a mediodía":              "back Fri 13 Mar 12:00",
		"viernes a las 15:00":                   "back Fri 13 Mar 15:00",
		"el viernes a las 15":                   "back Fri 13 Mar 15:00",
		"vuelvo hoy a las 19":                   "back Thu 12 Mar 19:00",
		"esta noche a las 9":                    "back Thu 12 Mar 21:00",
		"esta tarde a las 6":                    "back Thu 12 Mar 18:00",
		"vuelvo a las 6 por la tarde":           "back Thu 12 Mar 18:00",
		"15h":                                   "ask",
		"vuelvo en 3 horas":                     "back Thu 12 Mar 17:30",
		"vuelvo en media hora":                  "back Thu 12 Mar 15:00",
		"en dos horas":                          "back Thu 12 Mar 16:30",
		"vuelvo en 2h":                          "back Thu 12 Mar 16:30",
		"por 3 horas":                           "from Thu 12 Mar 14:30 to Thu 12 Mar 17:30",
		"durante hora y media":                  "from Thu 12 Mar 14:30 to Thu 12 Mar 16:00",
		"una hora y media":                      "from Thu 12 Mar 14:30 to Thu 12 Mar 16:00",
		"ahora hasta las 17":                    "from Thu 12 Mar 14:30 to Thu 12 Mar 17:00",
		"vuelvo a las 5":                        "back Thu 12 Mar 17:00 ? which-half",
		"vuelvo a las 7h":                       "back Thu 12 Mar 19:00 ? which-half",
		"Vuelvo a las 15.":                      "back Thu 12 Mar 15:00",
		"VUELVO MANANA A LAS 15":                "back Fri 13 Mar 15:00",
		"vuelvo man\u0303ana a las 15":          "back Fri 13 Mar 15:00",

		// What is not one thing.
		"vuelvo mañana":                  "ask",
		"mañana":                         "ask",
		"vuelvo mañana a las 9":          "ask", // morning or evening
		"vuelvo a las 9 mañana":          "ask", // tomorrow, or this morning
		"vuelvo a las 15:00 mañana":      "ask",
		"por la mañana":                  "ask",
		"mar 15:00":                      "from", // Tuesday, March, the sea: left over
		"vuelvo el 14":                   "ask",  // a day, no hour
		"vuelvo tarde":                   "ask",
		"vuelvo pronto":                  "ask",
		"vuelvo sobre las 15":            "ask",
		"vuelvo a eso de las 15":         "refuse",
		"vuelvo a las 3 o 4":             "ask",
		"vuelvo a las tres de la tarde":  "back Thu 12 Mar 15:00",
		"vuelvo después de las 15":       "refuse",
		"vuelvo a las 3 y 20":            "refuse",
		"vuelvo a las 4 menos 10":        "refuse",
		"a las 12 de la mañana":          "ask", // noon in one country
		"a las 25":                       "refuse",
		"a las 15:75":                    "refuse",
		"a las 1530":                     "refuse",
		"vuelvo con la bajamar":          "ask",
		"al anochecer":                   "ask",
		"vuelvo cuando baje la mar":      "refuse",
		"salgo a las 15":                 "ask", // the start, and no return
		"el próximo viernes a las 15:00": "ask",
		"mediodía":                       "ask", // today's has passed: tomorrow's is too far to take for granted
		"vuelvo":                         "ask",
		"no vuelvo a las 15":             "refuse",
		"vuelvo a las 15 menos 1 hora":   "refuse",
	} {
		got, err := WhenBack(line, now, zone, DayFirst)
		s := show(got, zone)
		if want == "from" {
			if err == nil && got.Rest == "" {
				t.Errorf("WhenBack(%q) = %s, want words left over", line, s)
			}
			continue
		}
		if err == nil && s != want || err != nil && answered(err) != want {
			t.Errorf("WhenBack(%q) = %s, %v, want %s", line, s, err, want)
		}
	}
}

func TestWhenInSpanish(t *testing.T) {
	zone := zoneOf(t, "Europe/Madrid")
	now := time.Date(2026, 3, 12, 14, 30, 0, 0, zone)
	for line, want := range map[string]string{
		"sáb 05:30 hasta las 09:00":          "from Sat 14 Mar 05:30 to Sat 14 Mar 09:00",
		"sab de 6 a 9":                       "ask",
		"sábado 06:00 hasta las 11:00":       "from Sat 14 Mar 06:00 to Sat 14 Mar 11:00",
		"el sábado de 05:30 a 09:00":         "from Sat 14 Mar 05:30 to Sat 14 Mar 09:00",
		"sábado desde las 05:30 hasta las 9": "from Sat 14 Mar 05:30 to Sat 14 Mar 09:00",
		"domingo 05:30-09:00":                "from Sun 15 Mar 05:30 to Sun 15 Mar 09:00",
		"mié 05:30-09:00":                    "from Wed 18 Mar 05:30 to Wed 18 Mar 09:00",
		"mart 05:30-09:00":                   "from Tue 17 Mar 05:30 to Tue 17 Mar 09:00",
		"14 de marzo 05:30-09:00":            "from Sat 14 Mar 05:30 to Sat 14 Mar 09:00",
		"el 14 de marzo de 2026 05:30-09:00": "from Sat 14 Mar 05:30 to Sat 14 Mar 09:00",
		"14 ago 05:30-09:00":                 "from Fri 14 Aug 05:30 to Fri 14 Aug 09:00",
		"pasado mañana 05:30-09:00":          "from Sat 14 Mar 05:30 to Sat 14 Mar 09:00",
		"mañana por la mañana de 5 a 9":      "from Fri 13 Mar 05:00 to Fri 13 Mar 09:00",
		"sábado por la noche 10 hasta las 2": "from Sat 14 Mar 22:00 to Sun 15 Mar 02:00",
		"ayer 05:30-09:00":                   "refuse",
		"sábado que viene 05:30-09:00":       "ask",
		"fin de semana 05:30-09:00":          "ask",
	} {
		got, err := When(line, now, zone, DayFirst)
		if s := show(got, zone); err == nil && s != want || err != nil && answered(err) != want {
			t.Errorf("When(%q) = %s, %v, want %s", line, s, err, want)
		}
	}
}

func TestSpanInSpanish(t *testing.T) {
	for text, want := range map[string]time.Duration{
		"30 minutos": 30 * time.Minute, "1 hora": time.Hour, "2 horas": 2 * time.Hour, "media hora": 30 * time.Minute, "una hora": time.Hour,
		"hora y media": 90 * time.Minute, "una hora y media": 90 * time.Minute, "1 hora y media": 90 * time.Minute, "2 horas y cuarto": 135 * time.Minute,
		"tres horas": 3 * time.Hour, "diez minutos": 10 * time.Minute, "1 hora 20 minutos": 80 * time.Minute,
	} {
		if got, err := Span(text); err != nil || got != want {
			t.Errorf("Span(%q) = %v, %v, want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"hora", "media", "y media", "1 hora y 20", "una", "tres", "un rato", "hora y pico", "media hora y media"} {
		var u *Unread
		if got, err := Span(text); !errors.As(err, &u) {
			t.Errorf("Span(%q) = %v, %v, want it refused", text, got, err)
		}
	}
}

// No Spanish word is read as something else in a line of English: what the readers know of both is the same.
func TestSpanishWordsAreNoEnglishOnes(t *testing.T) {
	english := map[string]bool{}
	for w := range weekdays {
		english[w] = true
	}
	for w := range months {
		english[w] = true
	}
	for w := range numberWords {
		english[w] = true
	}
	for w := range offsets {
		english[w] = true
	}
	for w := range parts {
		english[w] = true
	}
	for w, why := range stops {
		if spanish, both := spanishStops[w]; both && spanish != why {
			t.Errorf("%q is a stop of both, for %s and %s", w, why, spanish)
		}
		english[w] = true
	}
	check := func(w string) {
		if english[w] && spanishStops[w] == "" {
			t.Errorf("%q is read in both languages", w)
		}
		if w != fold(strings.ToLower(w)) {
			t.Errorf("%q is looked up without accents and would never be found", w)
		}
	}
	for w := range spanishWeekdays {
		check(w)
	}
	for w := range spanishMonths {
		check(w)
	}
	for w := range spanishStops {
		check(w)
	}
}

func TestDayInSpanish(t *testing.T) {
	zone := zoneOf(t, "Europe/Madrid")
	now := time.Date(2026, 3, 12, 14, 30, 0, 0, zone)
	for line, want := range map[string]string{
		"sábado": "14 ", "Arena Cove el domingo": "15 Arena Cove", "mañana": "13 ", "La Coruña mañana": "13 La Coruña", "14 de marzo": "14 ", "el 14": "14 ",
		"Puerto de la Luz": "12 Puerto de la Luz", "Santo Domingo": "12 Santo Domingo", "Las Palmas hoy": "12 Las Palmas", "Tres Puntas": "12 Tres Puntas",
		"Mar del Plata": "12 Mar del Plata", "hoy 15:00": "refuse", "sábado que viene": "ask", "ayer": "refuse",
	} {
		date, rest, err := Day(line, now, zone, DayFirst)
		if s := date.Format("2 ") + rest; err == nil && s != want || err != nil && answered(err) != want {
			t.Errorf("Day(%q) = %q, %v, want %q", line, s, err, want)
		}
	}
}
