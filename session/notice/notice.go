// Package notice is what was told of a trip beside its panel: the sea as people saw it, against which a later look is held,
// and where its calendar file went. It is pure. It judges no sea: it only says what is different.
package notice

import (
	"math"
	"slices"
	"time"
)

// Version is the stored form.
const Version = 1

// Notice is what was told of one trip.
type Notice struct {
	V    int    `json:"v"`
	Trip string `json:"trip"`
	Seq  int    `json:"seq,omitempty"`  // of the trip, when its sea was marked: another plan has another sea
	Plan *Mark  `json:"plan,omitempty"` // when it was planned so
	Last *Mark  `json:"last,omitempty"` // when people saw it last

	Files []File `json:"files,omitempty"`
}

// Mark is the sea of a trip's hours as it was forecast at an instant, the worst of each. What is not known is nil.
type Mark struct {
	At      time.Time `json:"at"`
	Verdict string    `json:"verdict,omitempty"`
	Hs      *float64  `json:"hs,omitempty"`      // m, offshore, highest of the hours
	Wind    *float64  `json:"wind,omitempty"`    // m/s
	Gust    *float64  `json:"gust,omitempty"`    // m/s
	Gate    bool      `json:"gate,omitempty"`    // the ledge has a walk-in that floods
	Floods  time.Time `json:"floods,omitzero"`   // when it first does in these hours; zero: it stays dry
	Missing []Blind   `json:"missing,omitempty"` // what could not be told because a source was silent or too old
}

// Blind is what could not be told.
type Blind string

// What a source can be silent on.
const (
	NoSea      Blind = "sea"
	NoWind     Blind = "wind"
	NoWarnings Blind = "warnings"
)

// File is a chat that got the calendar file; 0: where the plan is shown, whatever its chat is called now.
type File struct {
	Chat int64 `json:"chat,omitempty"`
	Seq  int   `json:"seq,omitempty"` // of the newest that went there

	Reads string `json:"reads,omitempty"` // the language of whoever reads there alone
}

// Change is one thing that is different.
type Change string

// The changes.
const (
	Verdict Change = "verdict"
	Swell   Change = "swell"
	Wind    Change = "wind"
	Gust    Change = "gust"
	Gate    Change = "gate"
	Silent  Change = "silent" // something cannot be told any more
	Heard   Change = "heard"  // it can be told again
)

// By how much a number must differ to be news: engineering judgement. Swell: about a forecast's own error; wind: about a step
// of the Beaufort scale where it begins to matter (WMO-No. 8, part I, chapter 5, annex: 5 is 8.0 to 10.7 m/s, 6 to 13.8);
// the walk-in: what surge alone may shift it.
const (
	SwellStep = 0.3 // m
	WindStep  = 3.0 // m/s
	GustStep  = 4.0 // m/s
	GateStep  = 15 * time.Minute
)

// Since is what is different between two marks, in the order in which it matters.
func (m Mark) Since(was Mark) (out []Change) {
	if m.Verdict != was.Verdict {
		out = append(out, Verdict)
	}
	if slices.ContainsFunc(m.Missing, func(b Blind) bool { return !slices.Contains(was.Missing, b) }) {
		out = append(out, Silent)
	}
	if slices.ContainsFunc(was.Missing, func(b Blind) bool { return !slices.Contains(m.Missing, b) }) {
		out = append(out, Heard)
	}
	for _, x := range []struct {
		is, was *float64
		step    float64
		change  Change
	}{{m.Hs, was.Hs, SwellStep, Swell}, {m.Wind, was.Wind, WindStep, Wind}, {m.Gust, was.Gust, GustStep, Gust}} {
		if x.is != nil && x.was != nil && math.Abs(*x.is-*x.was) >= x.step-1e-9 {
			out = append(out, x.change)
		}
	}
	if m.Gate && was.Gate && (m.Floods.IsZero() != was.Floods.IsZero() || m.Floods.Sub(was.Floods).Abs() >= GateStep) {
		out = append(out, Gate)
	}
	return out
}

// Saw notes what people were shown of a trip as it is planned now. The first of a plan is what later ones are held against.
func (n Notice) Saw(seq int, m Mark) Notice {
	if n.Plan == nil || n.Seq != seq {
		n.Seq, n.Plan = seq, &m
	}
	n.Last = &m
	return n
}

// Told notes a mark of which no more was told than what differs from the plan or from what people saw last. What did not differ
// enough stays as they saw it: many small steps are a large one.
func (n Notice) Told(seq int, m Mark) Notice {
	plan, last := n.Of(seq)
	if last == nil {
		return n.Saw(seq, m)
	}
	next := *last
	next.At, next.Verdict, next.Missing = m.At, m.Verdict, m.Missing
	for _, c := range append(m.Since(*last), m.Since(*plan)...) {
		switch c {
		case Swell:
			next.Hs = m.Hs
		case Wind:
			next.Wind = m.Wind
		case Gust:
			next.Gust = m.Gust
		case Gate:
			next.Floods = m.Floods
		case Verdict, Silent, Heard: // noted above
		}
	}
	for _, x := range []struct{ was, is **float64 }{{&next.Hs, &m.Hs}, {&next.Wind, &m.Wind}, {&next.Gust, &m.Gust}} {
		if *x.was == nil {
			*x.was = *x.is
		}
	}
	if !next.Gate {
		next.Gate, next.Floods = m.Gate, m.Floods
	}
	n.Last = &next
	return n
}

// Of gives the marks of a trip as it is planned now; nil where nobody saw its sea yet.
func (n Notice) Of(seq int) (plan, last *Mark) {
	if n.Seq != seq {
		return nil, nil
	}
	return n.Plan, n.Last
}

// MostFiles bounds to how many chats the file goes again.
const MostFiles = 40

// Sent notes that the file of a trip went to a chat. Full is that there is no room for another: it goes there once and is
// not sent again.
func (n Notice) Sent(chat int64, seq int, reads string) (next Notice, full bool) {
	n.Files = slices.Clone(n.Files)
	for i := range n.Files {
		if n.Files[i].Chat == chat {
			n.Files[i].Seq, n.Files[i].Reads = seq, reads
			return n, false
		}
	}
	if len(n.Files) >= MostFiles {
		return n, true
	}
	n.Files = append(n.Files, File{Chat: chat, Seq: seq, Reads: reads})
	return n, false
}

// Outdated are those that are older than that of seq.
func (n Notice) Outdated(seq int) (old []File) {
	for _, f := range n.Files {
		if f.Seq < seq {
			old = append(old, f)
		}
	}
	return old
}

// Forget takes the private chat of somebody out.
func (n Notice) Forget(id int64) (Notice, bool) {
	had := len(n.Files)
	n.Files = slices.DeleteFunc(slices.Clone(n.Files), func(f File) bool { return f.Chat == id })
	return n, len(n.Files) != had
}
