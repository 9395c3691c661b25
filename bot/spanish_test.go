package bot

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/command"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// A line without a slash is "off" only where nothing else can be meant by it; what may be is asked.
func TestPlainlyOff(t *testing.T) {
	for line, want := range map[string]string{
		"off": "off", "I'm off!": "off", "I’m off the rocks": "off", "back": "off",
		"fuera": "off", "Fuera!": "off", "¡Fuera!": "off", "estoy fuera": "off", "ya estoy fuera": "off", "Ya estamos fuera.": "off", "estamos fuera de las rocas": "off",
		"fuera ya": "off", "ya fuera": "off", "fuera de las rocas": "off", "ya estoy de vuelta": "off", "estamos de vuelta": "off", "ya de vuelta": "off",
		"he salido de las rocas": "off", "ya salí de las rocas": "off", "ya sali de las rocas": "off", "hemos salido de las rocas": "off", "ya  estoy   fuera": "off",
		"ya salí": "ask", "salí": "ask", "he salido": "ask", "ya hemos salido": "ask", "de vuelta": "ask", "salimos de las rocas": "ask", "Salimos ya": "ask",
		"no estoy fuera": "", "aún no estoy fuera": "", "fuera a las 15": "", "estoy fuera a las 15": "", "¿fuera?": "", "fuera?": "", "sigo fuera": "", "todavía fuera": "",
		"vuelvo": "", "salgo": "", "salgo ya": "", "voy de vuelta": "", "ya voy": "", "ya": "", "estoy": "", "estoy en las rocas": "", "ya estoy en las rocas": "", "estoy de las rocas": "",
		"ya estoy": "", "casi fuera": "", "Bram está fuera": "", "dejo fuera el cebo": "", "fuera de cobertura": "", "de vuelta a las 3": "", "salí de casa": "", "he salido de casa": "",
		"off to the ledge": "", "not off": "", "back by 3": "", "": "", "ya salí de casa": "", "estoy fuera de casa": "", "estamos fuera de peligro": "",
	} {
		got := ""
		switch {
		case plainlyOff(line):
			got = "off"
		case perhapsOff(line):
			got = "ask"
		}
		if got != want {
			t.Errorf("%q means %q, want %q", line, got, want)
		}
	}
}

func TestOffWords(t *testing.T) {
	nobody := func(string) bool { return false }
	for args, want := range map[string]string{
		"": "", "now": "", "I'm off the rocks": "", "ya": "", "ya estoy fuera de las rocas": "", "estoy bien, gracias": "", "ya salí": "", "a salvo": "",
		"all": "all", "todos": "todos", "ya estamos todos fuera": "todos", "Bram": "bram", "Bram y Chidi": "bram chidi", "ya están": "están",
	} {
		if got := strings.Join(offWords(args, nobody), " "); got != want {
			t.Errorf("offWords(%q) = %q, want %q", args, got, want)
		}
	}
	// A word that dresses is somebody's name all the same: else "/off Salvo" would call the speaker off.
	party := outing.Outing{People: []outing.Member{{ID: 1, Name: "Ana"}, {ID: 2, Name: "Salvo"}, {ID: 3, Name: "Vale Roca"}}}
	isName := func(w string) bool { _, ok := named(party, []string{w}); return ok }
	for args, want := range map[string]string{"Salvo": "salvo", "ya Vale": "vale", "ya fuera": ""} {
		if got := strings.Join(offWords(args, isName), " "); got != want {
			t.Errorf("offWords(%q) with such names = %q, want %q", args, got, want)
		}
	}
}

func TestCompany(t *testing.T) {
	c := session.Crew{Members: []session.Member{{ID: 1, Name: "Ana"}, {ID: 2, Name: "Bram"}, {ID: 3, Name: "Domingo"}, {ID: 4, Name: "Chidi de la Cruz"}}}
	for line, want := range map[string]string{
		"back 3pm with Bram":                          "back 3pm|2|",
		"with a mate back 3pm":                        "back 3pm||a mate",
		"with Eve and Bram back 3pm":                  "back 3pm|2|Eve",
		"con Bram vuelvo a las 15":                    "vuelvo a las 15|2|",
		"vuelvo a las 15 con Bram":                    "vuelvo a las 15|2|",
		"con Bram y Eva hasta las 15":                 "hasta las 15|2|Eva",
		"con Eva e Inés a las 15":                     "a las 15||Eva Inés",
		"con Domingo vuelvo a las 15":                 "vuelvo a las 15|3|",
		"con Dom vuelvo a las 15":                     "vuelvo a las 15||Dom",
		"con Chidi de la Cruz vuelvo a las 15":        "vuelvo a las 15|4|",
		"con Bram de vuelta a las 15":                 "de vuelta a las 15|2|",
		"con Bram mañana a las 9 de la mañana":        "mañana a las 9 de la mañana|2|",
		"CON Bram, en 3 horas":                        "en 3 horas|2|",
		"con la bajamar":                              "con la bajamar||",
		"back 3pm":                                    "back 3pm||",
		"vuelvo a las 15":                             "vuelvo a las 15||",
		"con Bram el viernes a las 15 vuelvo":         "viernes a las 15 vuelvo|2|el",
		"with Bram by 15:00 vuelvo":                   "by 15:00 vuelvo|2|",
		"con Bram al mediodía":                        "al mediodía|2|",
		"hasta las 15 con Ana, Bram y Chidi":          "hasta las 15|1 2 4|",
		"hasta las 3 de la tarde con Eva":             "hasta las 3 de la tarde||Eva",
		"con Bram esta tarde hasta las 6 de la tarde": "esta tarde hasta las 6 de la tarde|2|",
	} {
		rest, p := company(c, line)
		if got := rest + "|" + joinIDs(p.ids) + "|" + strings.Join(p.guests, " "); got != want {
			t.Errorf("company(%q) = %q, want %q", line, got, want)
		}
	}
}

// "/more" reads the whole of a time or asks: half of one is an alert at a wrong hour.
func TestMoreInSpanish(t *testing.T) {
	z, err := time.LoadLocation("Europe/Madrid")
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 3, 12, 14, 30, 0, 0, z)
	o := outing.Outing{Zone: z.String(), BackBy: now.Add(time.Hour)}
	at := func(h, m int) time.Time { return time.Date(2026, 3, 12, h, m, 0, 0, z).UTC() }
	for args, want := range map[string]outing.SetDelay{
		"30":                       {For: 30 * time.Minute},
		"30 la marea va tarde":     {For: 30 * time.Minute, Why: "la marea va tarde"},
		"30 por la marea":          {For: 30 * time.Minute, Why: "por la marea"},
		"30 minutos más":           {For: 30 * time.Minute, Why: "más"},
		"media hora":               {For: 30 * time.Minute},
		"una hora y media":         {For: 90 * time.Minute},
		"1 hora y media por Bram":  {For: 90 * time.Minute, Why: "por Bram"},
		"hasta las 18":             {To: at(18, 0)},
		"hasta las 18:30 hay pez":  {To: at(18, 30), Why: "hay pez"},
		"hasta las 6 de la tarde":  {To: at(18, 0)},
		"hasta las 6 por la tarde": {To: at(18, 0)},
	} {
		want.By = 1
		e, err := moreEvent(args, 1, spot{zone: zone(o.Zone)}, now)
		got, ok := e.(outing.SetDelay)
		if !ok || err != nil || got.For != want.For || !got.To.Equal(want.To) || got.Why != want.Why {
			t.Errorf("moreEvent(%q) = %+v, %v, want %+v", args, e, err, want)
		}
	}
	for _, args := range []string{"1 hora y 20 minutos", "1 hora y pico", "hasta las 12 de la mañana", "hasta las 6 y 10", "hasta las 6 o 7", "un rato", "hasta las 9 mañana", "mañana", "hasta la pleamar"} {
		e, err := moreEvent(args, 1, spot{zone: zone(o.Zone)}, now)
		var unread *command.Unread
		if err == nil {
			t.Errorf("moreEvent(%q) = %+v, want it refused or asked", args, e)
		} else if errors.As(err, &unread) && unread.Said == "" {
			t.Errorf("moreEvent(%q) = %v, want what was not read", args, err)
		}
	}
}

func TestGoesOnIsNoEnglish(t *testing.T) {
	for _, w := range []string{"and", "the", "a", "tide", "fish", "until", "30"} {
		if goesOn(w) {
			t.Errorf("goesOn(%q) = true: English reasons may begin so", w)
		}
	}
	if !slices.ContainsFunc([]string{"y", "de", "menos"}, goesOn) {
		t.Error("goesOn knows nothing")
	}
}
