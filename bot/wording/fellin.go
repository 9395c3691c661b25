package wording

import (
	"time"
	"unicode/utf8"

	"ledgehand/session/outing"
)

// Somebody in the water. Throw and do not jump in, keep them in sight, give the exact place: Beach Safe, National Sea Rescue
// Institute. Float on the back, away from the rocks: Beach Safe, Recfishwest; "float to live", RNLI.

// Where is a place where somebody may be in the water. What is not known is empty.
type Where struct {
	Ledge    string
	Lat, Lon *float64
	Access   string
	Number   string // local emergency number
	AskFor   string
}

// mostAccess is how long a way in may be, in characters, to be read out in the same breath.
const mostAccess = 60

// FellIn is what whoever types that somebody fell in reads: whom to call and what to say, and what to do meanwhile. Three lines
// for one place; with several each has a line, for nothing is asked now.
func (w Words) FellIn(at []Where) string {
	if len(at) < 2 {
		return lines(w.fellInCall(at), w.T("fellin_throw"), w.T("fellin_shout"))
	}
	return lines(w.fellInCall(at), w.T("fellin_throw")+" "+w.T("fellin_shout"))
}

// fellInCall is whom to call and the place to give them.
func (w Words) fellInCall(at []Where) string {
	switch len(at) {
	case 0:
		return w.T("fellin_call_only", "number", w.T("number_unknown"))
	case 1:
		p := at[0]
		number, ask, access := w.numberOf(p), "", ""
		if p.Number != "" && p.AskFor != "" {
			ask = w.T("ask_for", "ask", p.AskFor)
		}
		if p.Access != "" && utf8.RuneCountInString(p.Access) <= mostAccess {
			access = ", " + escape(p.Access)
		}
		if p.Lat == nil || p.Lon == nil {
			return w.T("fellin_call_unplaced", "number", number, "ask", HTML(ask), "ledge", p.Ledge, "access", HTML(access))
		}
		dec, dm := w.Position(*p.Lat, *p.Lon)
		return w.T("fellin_call", "number", number, "ask", HTML(ask), "decimal", dec, "minutes", dm, "ledge", p.Ledge, "access", HTML(access))
	}
	same := true
	for _, p := range at {
		same = same && p.Number == at[0].Number
	}
	number := HTML(w.T("fellin_number_there"))
	if same {
		number = w.numberOf(at[0])
	}
	out := []string{w.T("fellin_call_which", "number", number)}
	for _, p := range at {
		name := HTML(escape(p.Ledge))
		if !same {
			name = HTML(w.T("fellin_with_number", "ledge", p.Ledge, "number", w.numberOf(p)))
		}
		out = append(out, w.fellInPlace(p, name))
	}
	return lines(out...)
}

func (w Words) fellInPlace(p Where, name HTML) string {
	if p.Lat == nil || p.Lon == nil {
		return w.T("fellin_place_unknown", "ledge", name)
	}
	dec, dm := w.Position(*p.Lat, *p.Lon)
	return w.T("fellin_place", "ledge", name, "decimal", dec, "minutes", dm)
}

func (w Words) numberOf(p Where) HTML {
	if p.Number == "" {
		return HTML(w.T("number_unknown"))
	}
	return HTML(escape(p.Number))
}

// FellInTold is what a crew's group reads when somebody of it says so in private and nobody is out there that we know of.
func (w Words) FellInTold(who string, at []Where, now time.Time) string {
	head := w.T("fellin_nowhere", "again", HTML(""), "who", who, "at", w.Clock(now))
	if len(at) == 1 {
		head = w.T("fellin_alert", "again", HTML(""), "who", who, "ledge", at[0].Ledge, "at", w.Clock(now))
	}
	return lines(head, w.fellInCall(at), w.T("fellin_throw"))
}

// WhereOf is the place of an outing, from its sheet.
func WhereOf(o outing.Outing) Where {
	s := o.Sheet
	return Where{Ledge: o.Ledge, Lat: s.Lat, Lon: s.Lon, Access: s.Access, Number: s.Number, AskFor: s.AskFor}
}

// fellIn is the alert: by whose word, what to do, and that it is no more than a word.
func (w Words) fellIn(o outing.Outing, e outing.Effect, now time.Time) string {
	f, _ := o.LastFall()
	again := ""
	if now.Sub(f.At) >= time.Minute {
		again = w.T("again") + " "
	}
	head := w.T("fellin_alert", "again", HTML(again), "who", f.Name, "ledge", o.Ledge, "at", w.When(f.At, now))
	if f.Unsure {
		head = w.T("fellin_nowhere", "again", HTML(again), "who", f.Name, "at", w.When(f.At, now))
	}
	out := names(o.StillOut())
	do := w.T("fellin_throw")
	if e.To.Role == outing.RoleContact {
		do = w.T("fellin_ashore")
	}
	call := w.fellInCall([]Where{WhereOf(o)})
	if f.Unsure { // rescuers must not be sent to the wrong ledge while the right one is a call away
		call = lines(w.T("fellin_maybe", "out", w.list(out), "number", w.number(o), "ask", w.askFor(o)), w.fellInPlace(WhereOf(o), HTML(escape(o.Ledge))))
	}
	return lines(
		head,
		w.afterAck(o, e, now),
		call,
		w.T("fellin_word", "n", len(out), "who", f.Name, "out", w.list(out), "ledge", o.Ledge),
		do)
}

// fellNote is fellLine behind another line.
func (w Words) fellNote(o outing.Outing, now time.Time) string {
	if l := w.fellLine(o, now); l != "" {
		return " " + l
	}
	return ""
}

// fellLine reminds of it wherever the party's state is told.
func (w Words) fellLine(o outing.Outing, now time.Time) string {
	f, ok := o.LastFall()
	if !ok {
		return ""
	}
	return w.T("fellin_said", "who", f.Name, "at", w.When(f.At, now))
}
