package bot

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/session/outing"
	"ledgehand/session/watch"
)

// All that the bot says about who is out, for one invented outing, in every language: testdata/safety. Those who know the
// sea and its rescuers read it there without a telephone. The effects come from the state machine itself.

// heading says who reads a message, and when, in the language of the page.
type heading struct{ en, es string }

// safetySample is one message as it appears.
type safetySample struct {
	kind string // of the effect; "" where the state machine has none for it
	head heading
	text func(w wording.Words) chat.Message
}

// kindsIn are the words of a type of constants, as its source has them: a new one must not be missed here.
func kindsIn(t *testing.T, file, typ string) []string {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	ast.Inspect(f, func(n ast.Node) bool {
		v, ok := n.(*ast.ValueSpec)
		if !ok || len(v.Values) != 1 {
			return true
		}
		if id, ok := v.Type.(*ast.Ident); ok && id.Name == typ {
			if l, ok := v.Values[0].(*ast.BasicLit); ok {
				word, err := strconv.Unquote(l.Value)
				if err != nil {
					t.Fatal(err)
				}
				out = append(out, word)
			}
		}
		return true
	})
	if len(out) == 0 {
		t.Fatalf("no constants of type %s in %s", typ, file)
	}
	return out
}

// drama plays the invented outing and keeps what was said.
type drama struct {
	t       *testing.T
	o       outing.Outing
	effects []outing.Effect
	now     time.Time
	samples []safetySample
}

const safetyZone = "America/Los_Angeles"

func (d *drama) at(hour, minute int) time.Time {
	z, err := time.LoadLocation(safetyZone)
	if err != nil {
		d.t.Fatal(err)
	}
	return time.Date(2026, 3, 14, hour, minute, 0, 0, z).UTC()
}

// open starts it anew: Ana on Anvil from 06:30 to 09:00, change says what is different.
func (d *drama) open(change func(o *outing.Outing)) {
	lat, lon, water := 38.9546, -123.7406, 11.2
	o := outing.Outing{
		ID: "o1", Crew: "g7", Group: -7, Ledge: "Anvil", Zone: safetyZone, OpenedBy: 1, BackBy: d.at(9, 0), Ladder: outing.DefaultLadder(),
		People:   []outing.Member{{ID: 1, Name: "Ana", Chat: 1, Phone: "+00 555 0142"}},
		Contacts: []outing.Contact{{ID: 9, Name: "Mo", Chat: 9}},
		Sheet: outing.Sheet{
			Lat: &lat, Lon: &lon, WaysOut: "gully to the south", Parking: "cypress gate", Ring: "post at the gully", Number: "911", AskFor: "the coast guard",
			Car: "grey van, AB 123", Lifejacket: "yes", Signal: "patchy", SeaHs: 1.6, SeaHsLater: 1.7, SeaPeriod: 13, WaterC: &water,
			NextTide: d.at(11, 20), NextTideIsHigh: true, LastLight: d.at(18, 40),
		},
	}
	if change != nil {
		change(&o)
	}
	d.now = d.at(6, 30)
	var err error
	if d.o, d.effects, err = outing.New(o, d.now); err != nil {
		d.t.Fatal(err)
	}
}

func (d *drama) apply(hour, minute int, e outing.Event) {
	d.now = d.at(hour, minute)
	var err error
	if d.o, d.effects, err = d.o.Apply(e, d.now); err != nil {
		d.t.Fatalf("%T at %02d:%02d: %v", e, hour, minute, err)
	}
}

// tick lets time pass to then, minute by minute; what was said at the last of them is kept.
func (d *drama) tick(hour, minute int) {
	for to := d.at(hour, minute); ; d.now = d.now.Add(time.Minute) {
		d.o, d.effects = d.o.Tick(d.now)
		if !d.now.Before(to) {
			return
		}
	}
}

// keep notes what was just said of that kind to that role, under a heading.
func (d *drama) keep(kind outing.EffectKind, role outing.Role, en, es string) {
	d.t.Helper()
	i := slices.IndexFunc(d.effects, func(e outing.Effect) bool { return e.Kind == kind && e.To.Role == role })
	if i < 0 {
		d.t.Errorf("%s: nothing of kind %s was said to the %s", en, kind, role)
		return
	}
	o, e, now := d.o, d.effects[i], d.now
	d.samples = append(d.samples, safetySample{string(kind), heading{en, es}, func(w wording.Words) chat.Message { return outingMessage(w.In(o.Zone), o, e, now) }})
}

// note is keep for what is no effect of the state machine.
func (d *drama) note(kind, en, es string, text func(w wording.Words) chat.Message) {
	d.samples = append(d.samples, safetySample{kind, heading{en, es}, text})
}

const (
	group   = outing.RoleGroup
	angler  = outing.RoleAngler
	contact = outing.RoleContact
)

func safetySamples(t *testing.T) []safetySample {
	d := &drama{t: t}
	mo := outing.Acknowledge{By: 9, Name: "Mo", Chat: 9}
	ack := func(k outing.AckKind) outing.Event { mo.What = k; return mo }
	withBram := func(o *outing.Outing) {
		o.People = append(o.People, outing.Member{ID: 2, Name: "Bram", Chat: 2})
	}

	d.open(nil)
	plan := d.effects
	d.o, _, _ = d.o.Apply(outing.Reached{Chat: 9}, d.now)
	d.keep(outing.SayOpened, group, "The group, when Ana goes down alone", "El grupo, cuando Ana baja sin compañía")
	d.effects = plan
	d.keep(outing.SayPlan, contact, "Mo ashore, at the same time", "Mo en tierra, al mismo tiempo")
	d.apply(6, 50, outing.Sign{By: 1, What: "watch_dry"})
	d.tick(8, 45)
	d.keep(outing.SayRemind, angler, "Ana, a quarter of an hour before the time", "Ana, un cuarto de hora antes")
	d.tick(9, 0)
	d.keep(outing.SayAsk, angler, "Ana, at the time", "Ana, a la hora")
	d.tick(9, 15)
	d.keep(outing.SayParty, group, "The group, a quarter of an hour later", "El grupo, un cuarto de hora después")
	d.tick(9, 30)
	d.keep(outing.SayContact, contact, "Mo ashore, half an hour after the time", "Mo en tierra, media hora después de la hora")
	late, lateAt := d.o, d.now
	d.note("", "Mo ashore, together with the alert: the hand-over sheet", "Mo en tierra, junto con la alerta: la ficha para el rescate", func(w wording.Words) chat.Message {
		return chat.Message{Text: w.In(safetyZone).Sheet(late, lateAt)}
	})
	d.apply(9, 33, ack(outing.AckTrying))
	d.keep(outing.SayAcked, group, "Everybody who was alarmed, when Mo takes it on", "Quienes recibieron la alerta, cuando Mo se encarga")
	d.tick(9, 48)
	d.keep(outing.SayContact, contact, "Mo ashore, when that has run out with nothing heard", "Mo en tierra, cuando pasa ese tiempo sin noticias")
	d.keep(outing.SayAsk, angler, "Ana, at the same time", "Ana, al mismo tiempo")
	reached := *d
	reached.apply(9, 50, ack(outing.AckReached))
	reached.keep(outing.SayAcked, group, "Everybody who was alarmed, when Mo has reached Ana", "Quienes recibieron la alerta, cuando Mo ha contactado con Ana")
	d.samples = reached.samples
	d.apply(9, 52, ack(outing.AckCalled))
	d.keep(outing.SayAcked, group, "Everybody who was alarmed, when Mo has called for help", "Quienes recibieron la alerta, cuando Mo ha pedido ayuda")
	d.tick(10, 22)
	d.keep(outing.SayContact, contact, "Mo ashore, half an hour after calling for help", "Mo en tierra, media hora después de pedir ayuda")
	d.apply(10, 25, outing.SayOffRocks{By: 1})
	d.keep(outing.SayStandDown, group, "The group, when Ana is off after all", "El grupo, cuando por fin Ana está fuera")
	d.keep(outing.SayStandDown, contact, "Mo ashore, at the same time", "Mo en tierra, al mismo tiempo")
	d.apply(11, 30, outing.SayAtHome{By: 1})
	d.keep(outing.SayHome, group, "The group, when Ana is home", "El grupo, cuando Ana está en casa")

	d.open(func(o *outing.Outing) {
		withBram(o)
		o.Contacts, o.Sheet.Number, o.Sheet.AskFor, o.Sheet.Lifejacket = nil, "", "", "no"
	})
	d.keep(outing.SayOpened, group, "The group, when two go down and nobody ashore holds the plan", "El grupo, cuando bajan dos y nadie en tierra tiene el plan")
	d.tick(9, 20)
	d.keep(outing.SayParty, group, "The group, when they are late and nobody ashore holds the plan", "El grupo, cuando hay retraso y nadie en tierra tiene el plan")

	d.open(withBram)
	d.apply(8, 20, outing.SetDelay{By: 2, For: 30 * time.Minute, Why: "tide is late"})
	d.keep(outing.SayDelayed, group, "The group, when Bram asks for more time", "El grupo, cuando Bram pide más tiempo")
	d.keep(outing.SayDelayed, contact, "Mo ashore, at the same time", "Mo en tierra, al mismo tiempo")
	d.note("", "Bram, who asks a third time and says no reason", "Bram, que lo pide por tercera vez sin decir por qué", func(w wording.Words) chat.Message {
		text, _ := w.Problem(outing.ErrWhy)
		return chat.Message{Text: text}
	})
	perhaps := d.o
	d.note("", "Ana, who wrote something that may mean that she is off", "Ana, que escribió algo que puede querer decir que está fuera", func(w wording.Words) chat.Message {
		return chat.Message{Text: w.In(safetyZone).T("off_or_not", "who", "Ana", "ledge", perhaps.Ledge, "by", w.In(safetyZone).Clock(perhaps.BackBy)), Buttons: outingButtons(w, perhaps)}
	})
	d.apply(9, 0, outing.SayOffRocks{By: 2})
	d.keep(outing.SayMemberOff, group, "The group, when Bram is off and Ana is not", "El grupo, cuando Bram está fuera y Ana no")
	d.apply(9, 10, outing.SayOffRocks{By: 1})
	d.keep(outing.SayOff, group, "The group, when all are off in time", "El grupo, cuando todos están fuera a tiempo")
	d.keep(outing.SayContactOff, contact, "Mo ashore, at the same time", "Mo en tierra, al mismo tiempo")

	d.open(func(o *outing.Outing) {
		o.BackBy, o.Sheet.WalkInFloods, o.Sheet.WalkInDries, o.Sheet.SeaHsLater = d.at(19, 0), d.at(10, 10), d.at(14, 0), 2.4
	})
	d.keep(outing.SayOpened, group, "The group, when tide and dark come before Ana's time and the sea rises", "El grupo, cuando la marea y la noche llegan antes de la hora de Ana y la mar sube")
	d.tick(9, 40)
	d.keep(outing.SayGate, angler, "Ana, half an hour before the tide is over the walk-in", "Ana, media hora antes de que la marea cubra el acceso")
	d.apply(10, 0, outing.GoAlong{Member: outing.Member{ID: 2, Name: "Bram", Chat: 2}})
	d.keep(outing.SayAlong, group, "The group, when Bram says that he is out too", "El grupo, cuando Bram dice que también baja")
	d.keep(outing.SayAlong, contact, "Mo ashore, at the same time", "Mo en tierra, al mismo tiempo")
	d.apply(10, 5, outing.SetLadder{By: 1, Ladder: outing.Ladder{Remind: 15 * time.Minute, Party: 10 * time.Minute, Contact: 20 * time.Minute, Repeat: 5 * time.Minute}})
	d.keep(outing.SayTimes, group, "The group, when Ana sets shorter times", "El grupo, cuando Ana pone plazos más cortos")
	d.keep(outing.SayTimes, contact, "Mo ashore, at the same time", "Mo en tierra, al mismo tiempo")
	d.tick(17, 55)
	d.keep(outing.SayLight, angler, "Ana, three quarters of an hour before last light", "Ana, tres cuartos de hora antes de la última luz")

	d.open(withBram)
	d.apply(8, 10, outing.FellIn{By: 2, Name: "Bram", Chat: -7})
	d.keep(outing.SayFellIn, contact, "Mo ashore, when Bram types /fellin in the group", "Mo en tierra, cuando Bram escribe /fellin en el grupo")
	fell := d.o
	d.note("", "The group, at once, when Bram types /fellin", "El grupo, al instante, cuando Bram escribe /fellin", func(w wording.Words) chat.Message {
		at := []wording.Where{wording.WhereOf(fell)}
		return chat.Message{Text: w.FellIn(at), Buttons: copyPlaces(w, at)}
	})

	d.open(nil)
	d.apply(6, 40, outing.Cancel{By: 1})
	d.keep(outing.SayCancelled, group, "The group, when nobody goes after all", "El grupo, cuando al final no va nadie")

	d.open(nil)
	d.apply(6, 32, outing.Unreached{Chat: 9})
	d.keep(outing.SayUnreachable, group, "The group, when the plan did not reach Mo", "El grupo, cuando el plan no le ha llegado a Mo")
	d.open(nil)
	d.apply(6, 32, outing.Unreached{Chat: 9, Until: d.at(7, 5)})
	d.keep(outing.SayUnreachable, group, "The group, when what is sent to Mo is held up", "El grupo, cuando lo que se envía a Mo está retenido")
	d.open(nil)
	d.apply(8, 0, outing.Unreached{Chat: -7, Name: "The crew"})
	d.keep(outing.SayUnreachable, angler, "Ana, when the group can't be written to", "Ana, cuando no se puede escribir al grupo")
	d.keep(outing.SayUnreachable, contact, "Mo ashore, at the same time", "Mo en tierra, al mismo tiempo")
	d.open(nil)
	d.apply(7, 0, outing.LetGo{By: 9})
	d.keep(outing.SayContactLeft, group, "The group, when Mo gives the plan back", "El grupo, cuando Mo deja el plan")

	d.open(nil)
	d.apply(8, 41, outing.WasDeaf{From: d.at(8, 5), To: d.at(8, 40)})
	d.keep(outing.SayDeaf, group, "The group, when nobody was heard for a while", "El grupo, cuando no se oyó a nadie durante un rato")
	d.tick(9, 0)
	d.apply(9, 41, outing.WasDeaf{From: d.at(8, 55), To: d.at(9, 40)})
	d.keep(outing.SayDeaf, group, "The group, when the time passed meanwhile", "El grupo, cuando la hora pasó entretanto")
	d.open(nil)
	d.now = d.at(9, 12)
	d.o, d.effects = d.o.Tick(d.now)
	d.keep(outing.SayAsk, angler, "Ana, when the question comes late because the bot was away", "Ana, cuando la pregunta llega tarde porque el bot no funcionaba")
	d.open(nil)
	d.tick(9, 30)
	d.apply(9, 52, outing.WasDeaf{From: d.at(9, 32), To: d.at(9, 50)})
	d.keep(outing.SayDeaf, contact, "Mo ashore, alarmed before", "Mo en tierra, con la alerta ya recibida")

	d.open(func(o *outing.Outing) { o.HomeBy = d.at(10, 30) })
	d.apply(8, 50, outing.SayOffRocks{By: 1})
	road := d.o
	d.note("", "Ana, off the rocks, at the time she said she would be home", "Ana, fuera de las rocas, a la hora en que dijo que estaría en casa", func(w wording.Words) chat.Message {
		return chat.Message{Text: w.HomeAsk(road, notHome(road))}
	})
	d.note("", "The group and Mo, half an hour later", "El grupo y Mo, media hora después", func(w wording.Words) chat.Message {
		return chat.Message{Text: w.HomeLate(road, notHome(road), d.at(11, 0))}
	})

	warned := []conditions.Warning{{Event: "High Surf Warning", Headline: "High Surf Warning until Saturday evening", Sender: "An invented office", Covers: new(true)}}
	d.open(nil)
	out := d.o
	d.note("", "The group, when a warning is issued meanwhile", "El grupo, cuando entretanto sale un aviso", func(w wording.Words) chat.Message {
		return chat.Message{Text: w.In(safetyZone).OutingWarning(out, warned, false), Buttons: outingButtons(w, out)}
	})
	d.note("", "Mo ashore, at the same time", "Mo en tierra, al mismo tiempo", func(w wording.Words) chat.Message {
		return chat.Message{Text: w.In(safetyZone).OutingWarning(out, warned, true)}
	})
	d.watch()
	return d.samples
}

// watch is the look at the water before going down.
func (d *drama) watch() {
	x, err := watch.New(watch.Watch{ID: "w1", Crew: "g7", Chat: -7, Ledge: "Anvil", Zone: safetyZone, By: 1, ByName: "Ana", Length: watch.Usual,
		Sea: watch.Sea{Known: true, Hs: 1.6, Tz: 12.6, Period: 13, Making: true}}, d.at(6, 0))
	if err != nil {
		d.t.Fatal(err)
	}
	d.note("", "Ana, who begins to watch the water", "Ana, que empieza a observar el agua", func(w wording.Words) chat.Message {
		return chat.Message{Text: w.WatchStarted(x, setsEvery(x), longer(x)), Buttons: watchButtons(w, x)}
	})
	for now := x.StartedAt; x.EndedAt.IsZero(); now = now.Add(time.Minute) {
		var effects []watch.Effect
		x, effects = x.Tick(now)
		for _, e := range effects {
			at := x
			switch e.Kind {
			case watch.SayPrompt:
				d.note(string(e.Kind), fmt.Sprintf("Ana, prompt %d", e.N), fmt.Sprintf("Ana, pregunta %d", e.N), func(w wording.Words) chat.Message {
					return chat.Message{Text: w.WatchPrompt(at, e.N), Buttons: watchButtons(w, at)}
				})
			case watch.SayResult:
				d.result(at, "Ana, when no wave came up", "Ana, cuando no subió ninguna ola")
				wet := at
				wet.Waves = []time.Time{d.at(6, 4), d.at(6, 11), d.at(6, 12)}
				d.result(wet, "Ana, when three waves would have reached her", "Ana, cuando tres olas la habrían alcanzado")
			}
		}
		if now.After(d.at(8, 0)) {
			d.t.Fatal("the watch does not end")
		}
	}
}

func (d *drama) result(x watch.Watch, en, es string) {
	look, err := lookFor(x, usualStay, time.Time{}, x.EndedAt)
	if err != nil {
		d.t.Fatal(err)
	}
	d.note(string(watch.SayResult), en, es, func(w wording.Words) chat.Message { return chat.Message{Text: w.WatchResult(x, look)} })
}

var safetyTop = map[string]string{
	"en": "# What is said while people are out\n\nOne invented outing of Ana, at times with Bram, on the ledge Anvil; Mo is ashore. Off the rocks by 09:00 on Sat 14 Mar. Each message is\n" +
		"as it appears, its buttons below it in brackets; the heading says who reads it, and when. The bot calls nobody.\n\n" +
		"Written by `go test ./bot -run TestSafetyMessages -update`, and kept true by it.\n",
	"es": "# Lo que se dice mientras hay gente en las rocas\n\nUna salida inventada de Ana, a veces con Bram, en la repisa Anvil; Mo está en tierra. Fuera de las rocas a las 09:00 del sáb 14 mar. Cada\n" +
		"mensaje está como aparece, con sus botones debajo entre corchetes; el título dice quién lo lee y cuándo. El bot no llama a nadie.\n\n" +
		"Lo escribe `go test ./bot -run TestSafetyMessages -update`, que también comprueba que siga siendo así.\n",
}

// TestSafetyMessages keeps testdata/safety: every kind of effect there is, in every language.
func TestSafetyMessages(t *testing.T) {
	samples := safetySamples(t)
	have := map[string]bool{}
	for _, s := range samples {
		have[s.kind] = true
	}
	for _, k := range append(kindsIn(t, "../session/outing/ladder.go", "EffectKind"), kindsIn(t, "../session/watch/watch.go", "EffectKind")...) {
		if !have[k] {
			t.Errorf("no sample of what is said as %q: add one, and look at it in both languages", k)
		}
	}
	for _, l := range wording.Languages {
		w := wording.For(l, wording.Metric, nil)
		page := strings.Builder{}
		if safetyTop[l] == "" {
			t.Fatalf("the page has no top in %s", l)
		}
		page.WriteString(safetyTop[l])
		for _, s := range samples {
			head := s.head.en
			if l == "es" {
				head = s.head.es
			}
			m := s.text(w)
			if m.Text == "" || strings.Contains(m.Text, "[") {
				t.Errorf("%s: %s says %q", l, head, m.Text)
			}
			fmt.Fprintf(&page, "\n## %s\n\n```\n%s\n", head, wording.Plain(m.Text))
			for _, row := range m.Buttons {
				var labels []string
				for _, b := range row {
					labels = append(labels, "["+b.Label+"]")
				}
				page.WriteString(strings.Join(labels, " ") + "\n")
			}
			page.WriteString("```\n")
		}
		keepPage(t, "safety", "messages."+l+".md", page.String())
	}
}
