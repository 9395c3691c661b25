package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ledgehand/bot/bottest"
)

// What is said about catches, line by line, through the whole bot, in each language: testdata/catches. Those who fish and do not program
// read it there. -update writes it anew; the test fails while it is not what is said.

// caughtLine is one line somebody writes, with what it shows; an empty heading only leads on to the next.
type caughtLine struct {
	en, es string
	at     string // day and time
	who    string
	line   string
}

var caughtLines = []caughtLine{
	{"", "", "Fri 06:00", "ana", "/out Anvil with Bram back in 4 hours"},
	{"Two fish, one kept", "Dos peces, uno guardado", "Fri 07:00", "ana", "/catch 2 kelp greenling 31 28 kept 1, 2 rods 3h"},
	{"The same kind again, with a rule that the crew wrote down", "Otra vez la misma especie, con una norma que anotó el grupo", "Fri 07:05", "ana", "/rule kelp greenling min 30 bag 2 source Example Coast leaflet checked today"},
	{"", "", "Fri 07:06", "ana", "/catch kelp greenling 35 kept"},
	{"Too close to the limit", "Demasiado cerca del límite", "Fri 07:07", "ana", "/catch kelp greenling 29.8"},
	{"Taken back", "Deshecho", "Fri 07:08", "ana", "/undo"},
	{"Somebody else's fish, let go", "El pez de otra persona, devuelto", "Fri 07:10", "ana", "/catch bram lingcod 71 let go"},
	{"Not understood", "No se entiende", "Fri 07:11", "ana", "/catch whopper of a thing"},
	{"The day so far", "El día hasta ahora", "Fri 07:12", "ana", "/catch"},
	{"", "", "Fri 09:00", "ana", "/off all"},
	{"What Ana caught: the year, and her longest", "Lo de Ana: el año, y los más largos", "Fri 09:01", "ana", "/tally"},
	{"", "", "Sat 07:00", "ana", "/out Anvil back in 4 hours"},
	{"A day without a fish", "Un día sin peces", "Sat 10:00", "ana", "/catch blank 2 rods 3h"},
	{"", "", "Sat 10:01", "ana", "/off"},
	{"The log of a ledge after two trips: a list, no rate", "El registro de una repisa tras dos salidas: una lista, sin tasa", "Sat 10:02", "ana", "/tally Anvil"},
	{"", "", "Sun 07:00", "ana", "/out Anvil back in 4 hours"},
	{"", "", "Sun 10:00", "ana", "/catch 3 kelp greenling, 2 rods 3h"},
	{"", "", "Sun 10:01", "ana", "/off"},
	{"", "", "Mon 07:00", "bram", "/out Anvil back in 4 hours"},
	{"", "", "Mon 10:00", "bram", "/catch blank 1 rod 3h"},
	{"", "", "Mon 10:01", "bram", "/off"},
	{"After three trips of known effort: a rate with its range", "Tras tres salidas de esfuerzo conocido: una tasa con su margen", "Mon 10:02", "ana", "/tally Anvil"},
	{"The crew's year", "El año del grupo", "Mon 10:03", "ana", "/tally crew"},
	{"The one comparison, chosen before looking", "La única comparación, elegida antes de mirar", "Mon 10:04", "ana", "/tally compare tide"},
	{"… and what it says of few trips", "… y lo que dice de pocas salidas", "Mon 10:05", "ana", "/tally crew"},
	{"How many each, only because the crew asked", "Cuántos cada cual, solo porque el grupo lo pidió", "Mon 10:06", "ana", "/tally counts on"},
	{"", "", "Mon 10:07", "ana", "/tally crew"},
	{"Files", "Archivos", "Mon 10:08", "ana", "/tally export"},
	{"Under which licence", "Bajo qué licencia", "Mon 10:09", "ana", "/tally licence CC BY"},
	{"By name", "Con nombre", "Mon 10:10", "bram", "/tally name on"},
	{"Nothing that a log cannot tell", "Nada que un registro no pueda decir", "Mon 10:11", "ana", "/tally compare moon"},
}

func TestWhatIsSaidOfCatches(t *testing.T) {
	for language, head := range map[string]string{
		"en": "# What is said of catches\n\nInvented days of Ana and Bram on the ledge Anvil, played through the whole bot. Each answer is as it appears in the group, its buttons in\nbrackets. Written by `go test ./cmd/ledgehand -run TestWhatIsSaidOfCatches -update`, and kept true by it.\n",
		"es": "# Lo que se dice de las capturas\n\nDías inventados de Ana y Bram en la repisa Anvil, jugados con el bot entero. Cada respuesta está tal como aparece en el grupo, sus botones entre\ncorchetes. Lo escribe `go test ./cmd/ledgehand -run TestWhatIsSaidOfCatches -update`, que también lo mantiene cierto.\n",
	} {
		t.Run(language, func(t *testing.T) {
			s := startStory(t, "start 2026-03-13 05:00 America/Los_Angeles")
			s.cast("people ana bram")
			for _, id := range s.people {
				s.server.Speaks(id, language)
			}
			for _, line := range []string{"bot joins", "ana> /ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270", "ana> /settings area us-ca", "bram> /catch"} {
				must(t, s.act(s.instant("Fri", "05:00"), line))
			}
			var page strings.Builder
			page.WriteString(head)
			for _, l := range caughtLines {
				must(t, s.act(s.instant(l.at[:3], l.at[4:]), l.who+"> "+l.line))
				title := l.en
				if language == "es" {
					title = l.es
				}
				if title != "" {
					fmt.Fprintf(&page, "\n## %s\n", title)
				}
				if strings.HasPrefix(l.line, "/out") || strings.HasPrefix(l.line, "/off") {
					continue // what is said of those is in testdata/safety
				}
				fmt.Fprintf(&page, "\n> %s: `%s`\n", strings.ToUpper(l.who[:1])+l.who[1:], l.line)
				said := false
				for _, e := range s.server.Transcript()[s.since:] {
					if !e.Bot || e.What != bottest.Posted || e.Chat != storyGroup {
						continue
					}
					said = true
					page.WriteString("\n```\n")
					if e.Picture != nil {
						page.WriteString("[PNG]\n")
					}
					page.WriteString(e.Text + "\n")
					for _, row := range e.Buttons {
						var labels []string
						for _, b := range row {
							labels = append(labels, "["+b.Label+"]")
						}
						page.WriteString(strings.Join(labels, " ") + "\n")
					}
					page.WriteString("```\n")
				}
				if !said {
					t.Errorf("nothing is said to %q", l.line)
				}
			}
			file := filepath.Join("..", "..", "testdata", "catches", "messages."+language+".md")
			if *update {
				must(t, os.MkdirAll(filepath.Dir(file), 0o755))
				must(t, os.WriteFile(file, []byte(page.String()), 0o644))
			}
			have, err := os.ReadFile(file)
			must(t, err)
			if string(have) != page.String() {
				t.Errorf("%s is not what is said now: run with -update and read the difference", file)
			}
		})
	}
}
