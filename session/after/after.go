// Package after is what those who were on a ledge say of it when they are back: whether water came over it, and whether
// anybody got wet. It is asked once; whoever answers again changes their answer; all answers of one outing are one report,
// and the wettest counts. It is pure. What a report is worth is worked out in conditions/ledge.
package after

import (
	"errors"
	"slices"
	"time"
)

// Version is the stored form.
const Version = 1

// Report is what is known of one outing's day on a ledge. It begins with the outing, so that the sea of its hours is kept
// as it was forecast then.
type Report struct {
	V      int       `json:"v"`
	ID     string    `json:"id"` // of the outing
	Crew   string    `json:"crew"`
	Ledge  string    `json:"ledge"`
	Zone   string    `json:"zone"`
	From   time.Time `json:"from"`        // the outing began
	To     time.Time `json:"to,omitzero"` // it must have ended by then, however late that was said
	Hours  []Hour    `json:"hours,omitempty"`
	SeaAt  time.Time `json:"sea_at,omitzero"` // when the newest of Hours were fetched
	Asked  time.Time `json:"asked,omitzero"`
	Ring   bool      `json:"ring,omitempty"` // whether the rescue ring still hangs there is asked too
	People []Person  `json:"people,omitempty"`
}

// Hour is one hour of sea as it was forecast: metres, seconds, degrees true.
type Hour struct {
	At     time.Time `json:"at"`               // it begins
	Hs     float64   `json:"hs"`               // at the foot of the ledge
	Tz     float64   `json:"tz"`               //
	Period float64   `json:"period,omitempty"` // peak; 0: not known
	Rc     float64   `json:"rc"`               // freeboard
	From   *float64  `json:"from,omitempty"`   // where the swell came from; nil: not known
}

// Person is one who was there and was asked.
type Person struct {
	ID    int64     `json:"id"`
	Name  string    `json:"name"`
	Chat  int64     `json:"chat"` // where they were asked
	Off   time.Time `json:"off"`  // they were off the rocks
	Water Water     `json:"water,omitempty"`
	Wet   Wet       `json:"wet,omitempty"`
	Ring  Ring      `json:"ring,omitempty"`
	At    time.Time `json:"at,omitzero"` // of their newest answer
}

// Water answers whether it came over the ledge.
type Water string

// The answers, the driest first; "" is none.
const (
	WaterNo    Water = "no"
	WaterSome  Water = "some" // once or twice
	WaterOften Water = "often"
)

// Wet answers whether anybody got wet.
type Wet string

// The answers; "" is none.
const (
	WetNo      Wet = "no"
	WetFeet    Wet = "feet"
	WetKnocked Wet = "knocked"
	WetIn      Wet = "in" // the water
)

// Near says whether it was a near miss.
func (w Wet) Near() bool { return w == WetKnocked || w == WetIn }

var waters = []Water{WaterNo, WaterSome, WaterOften}

// Answers is how long a question can be answered; after that memory is a story.
const Answers = 24 * time.Hour

// Errors.
var (
	ErrNotThere = errors.New("not one of those who were there")
	ErrOver     = errors.New("no question is open")
)

// Sea notes hours that were fetched at an instant. A newer forecast takes the place of an older one, hour by hour; hours outside
// the outing are left out as far as its end is known.
func (r Report) Sea(hours []Hour, fetched time.Time) Report {
	if fetched.Before(r.SeaAt) {
		return r
	}
	kept := slices.DeleteFunc(slices.Clone(r.Hours), func(h Hour) bool {
		return slices.ContainsFunc(hours, func(x Hour) bool { return x.At.Equal(h.At) })
	})
	for _, h := range hours {
		if h.At.Add(time.Hour).After(r.From) && (r.To.IsZero() || h.At.Before(r.To)) {
			kept = append(kept, h)
		}
	}
	slices.SortFunc(kept, func(a, b Hour) int { return a.At.Compare(b.At) })
	r.Hours, r.SeaAt = kept, fetched
	return r
}

// Ask puts the questions to those who were there. Asked once, it stays asked.
func (r Report) Ask(people []Person, now time.Time) Report {
	if !r.Asked.IsZero() {
		return r
	}
	r.Asked, r.People = now, slices.Clone(people)
	return r
}

// Answer takes one answer, either of the two, of somebody who was asked; near says that it is news of a near miss. The same
// answer again changes nothing.
func (r Report) Answer(by int64, water Water, wet Wet, now time.Time) (next Report, near bool, err error) {
	if r.Asked.IsZero() || !now.Before(r.Asked.Add(Answers)) {
		return Report{}, false, ErrOver
	}
	i := slices.IndexFunc(r.People, func(p Person) bool { return p.ID == by })
	if i < 0 {
		return Report{}, false, ErrNotThere
	}
	r.People = slices.Clone(r.People)
	p := &r.People[i]
	if water != "" {
		p.Water = water
	}
	if wet != "" {
		near = wet.Near() && !p.Wet.Near()
		p.Wet = wet
	}
	p.At = now
	return r, near, nil
}

// Told is what all of them say together: the wettest answer, until when those who gave one were there, and whether
// anybody answered at all.
func (r Report) Told() (w Water, until time.Time, ok bool) {
	for _, p := range r.People {
		i := slices.Index(waters, p.Water)
		if i < 0 {
			continue
		}
		ok = true
		if i > slices.Index(waters, w) {
			w = p.Water
		}
		if p.Off.After(until) {
			until = p.Off
		}
	}
	if !r.To.IsZero() && until.After(r.To) {
		until = r.To
	}
	return w, until, ok
}

// Bounds of what can be learned from a report (engineering judgement): a stay that is long enough to have seen waves, and for
// water that came, a sea that is known for most of it, for it may have come in the hours that are not.
const (
	shortestStay = 30 * time.Minute
	mostly       = 0.75
)

// Stretch is a time on the ledge with the sea of it.
type Stretch struct {
	Minutes float64
	Hour
}

// Teaches gives the sea of the hours that a report speaks of. Nothing where the sea is not known, or where by the numbers the
// ledge lay under water: then they are of another ledge, or of another day.
func (r Report) Teaches() []Stretch {
	w, until, ok := r.Told()
	if !ok || until.Sub(r.From) < shortestStay {
		return nil
	}
	var out []Stretch
	var known time.Duration
	for _, h := range r.Hours {
		from, to := h.At, h.At.Add(time.Hour)
		if r.From.After(from) {
			from = r.From
		}
		if until.Before(to) {
			to = until
		}
		if !to.After(from) {
			continue
		}
		if !(h.Rc > 0) {
			return nil
		}
		if !(h.Hs > 0) || !(h.Tz > 0) {
			continue
		}
		known += to.Sub(from)
		out = append(out, Stretch{Minutes: to.Sub(from).Minutes(), Hour: h})
	}
	if known < shortestStay || w != WaterNo && known.Seconds() < mostly*until.Sub(r.From).Seconds() {
		return nil
	}
	return out
}
