package bot

import (
	"errors"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
	"ledgehand/session"
)

// The tide and the light of a day: at a ledge of the crew, at a tide station by name, or at a position. Both are worked out
// here and now, without any feed.

// spot is where somebody asks about.
type spot struct {
	name    string
	at      *measure.Position // nil: the station's own place
	station string
	zone    *time.Location
	card    *ledge.Card // of a ledge
	ledge   int         // its place in the crew's list, -1: none
}

var errNoSpot = errors.New("neither a ledge nor a place")

// spotOf finds what a line names, and gives back the rest of it. What it names may be left out where there is only one ledge.
func spotOf(c session.Crew, line string) (s spot, rest string, err error) {
	led, rest, ok := c.LedgeIn(line)
	if !ok {
		return spot{}, line, errNoSpot
	}
	s, err = spotOfLedge(c, led)
	return s, rest, err
}

func spotOfLedge(c session.Crew, led session.Ledge) (spot, error) {
	card, err := cardOf(led)
	if err != nil {
		return spot{}, err
	}
	s := spot{name: led.Name, at: card.Place(), station: card.TideStation, zone: zone(card.Zone), card: &card, ledge: -1}
	for i := range c.Ledges {
		if c.Ledges[i].Name == led.Name {
			s.ledge = i
		}
	}
	return s, nil
}

// spotNamed is a place that is no ledge: a position, or the name of a tide station.
func spotNamed(text string, now time.Time) (spot, error) {
	if p, err := command.Position(text); err == nil {
		st, ok := tide.Choose(p)
		zones := tide.ZonesAt(p, now)
		if !ok || len(zones) == 0 {
			return spot{}, errNoSpot
		}
		return spot{name: text, at: &p, station: st.ID, zone: zone(zones[0]), ledge: -1}, nil
	}
	for _, st := range tide.Named(text, 1) {
		return spot{name: st.Name, station: st.ID, zone: zone(st.Zone), ledge: -1}, nil
	}
	return spot{}, errNoSpot
}

// place is where it lies: its own place, or the station's.
func (s spot) place() *measure.Position {
	if s.at != nil {
		return s.at
	}
	if st, err := tide.Find(s.station); err == nil {
		return &st.Position
	}
	return nil
}

// when reads whose day a line is about. The words that are left name the place, if no ledge did. Days are those of the
// place's own zone, so the place is found first and the day read again in its zone.
func (a *ask) when(c session.Crew, line string) (s spot, day sky.Date, err error) {
	s, rest, err := spotOf(c, line)
	if err != nil && !errors.Is(err, errNoSpot) {
		return s, day, err
	}
	if s.zone == nil {
		if text, after, ok := leadingPosition(rest); ok {
			if s, err = spotNamed(text, a.cause.Now); err != nil {
				return s, day, err
			}
			rest = after
		}
	}
	z := s.zone
	if z == nil {
		z = zone(c.Zone)
	}
	date, left, err := command.Day(rest, a.cause.Now, z, order(c))
	if err != nil {
		return s, day, err
	}
	switch {
	case s.zone != nil && strings.TrimSpace(left) != "":
		return s, day, &command.Unread{Said: left, Why: command.WhyToken}
	case s.zone == nil && strings.TrimSpace(left) == "" && len(c.Ledges) == 1:
		if s, err = spotOfLedge(c, c.Ledges[0]); err != nil {
			return s, day, err
		}
	case s.zone == nil && strings.TrimSpace(left) == "":
		return s, day, errNoSpot
	case s.zone == nil:
		if s, err = spotNamed(left, a.cause.Now); err != nil {
			return spot{name: left}, day, err
		}
	}
	if s.zone != z { // the day was read by another clock
		if date, _, err = command.Day(rest, a.cause.Now, s.zone, order(c)); err != nil {
			return s, day, err
		}
	}
	return s, sky.DateIn(date, time.UTC), nil
}

// leadingPosition takes a position off the front of a line: the longest run of words that is one.
func leadingPosition(line string) (position, rest string, ok bool) {
	words := strings.Fields(line)
	for n := min(len(words), 6); n > 0; n-- {
		text := strings.Join(words[:n], " ")
		if _, err := command.Position(text); err == nil {
			return text, strings.Join(words[n:], " "), true
		}
	}
	return "", line, false
}

// tide is /tide [LEDGE or PLACE] [below 1.2] [DAY], and /tide next low.
func (a *ask) tide(args string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if i, day, ok := unpackDay(args); ok {
			if i >= len(c.Ledges) {
				return a.problem(tx, w, wording.ErrOldPanel)
			}
			s, err := spotOfLedge(c, c.Ledges[i])
			if err != nil {
				return err
			}
			return a.tellTide(tx, w, s, day, command.TideLine{})
		}
		// A ledge's name may hold words about tides: it comes out of the line first.
		name := ""
		if led, rest, ok := c.LedgeIn(args); ok {
			name, args = led.Name+" ", rest
		}
		line, err := command.Tide(args)
		if err != nil {
			return a.tideRefused(tx, w, args)
		}
		s, day, err := a.when(c, name+line.Rest)
		if err != nil {
			return a.spotRefused(tx, w, s, line.Rest, w.T("tide_which", "ledges", w.Names(ledgeNames(c))), err)
		}
		return a.tellTide(tx, w, s, day, line)
	})
}

func (a *ask) tellTide(tx *session.Tx, w wording.Words, s spot, day sky.Date, line command.TideLine) error {
	q := conditions.PlaceDay{Name: s.name, Place: s.at, Station: s.station, Day: day, Now: a.cause.Now, Zone: s.zone, Level: line.Level, Above: line.Above}
	if line.Level != nil && line.Bare {
		m := measure.Metres(w.Metres(float64(*line.Level)))
		q.Level = &m
	}
	if s.card != nil {
		q.Gate = s.card.WalkInGate
	}
	d, err := conditions.TideOf(q)
	switch {
	case errors.Is(err, conditions.ErrNoTide):
		a.reply(tx, w.T("tide_no_station", "name", s.name))
		return nil
	case err != nil:
		return a.tideRefused(tx, w, day.String())
	}
	text := w.Tide(d)
	switch line.Turn {
	case command.NextHigh:
		text = w.NextTurn(d, tide.High)
	case command.NextLow:
		text = w.NextTurn(d, tide.Low)
	}
	a.reply(tx, text, a.dayButtons(tx, w, s, day, actTide, w.T("b_light"), actLight)...)
	return nil
}

// light is /light [LEDGE or PLACE] [DAY].
func (a *ask) light(args string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		i, day, ok := unpackDay(args)
		var s spot
		var err error
		switch {
		case ok && i >= len(c.Ledges):
			return a.problem(tx, w, wording.ErrOldPanel)
		case ok:
			s, err = spotOfLedge(c, c.Ledges[i])
		default:
			s, day, err = a.when(c, args)
		}
		if err != nil {
			return a.spotRefused(tx, w, s, args, w.T("light_which", "ledges", w.Names(ledgeNames(c))), err)
		}
		at := s.place()
		if at == nil {
			a.reply(tx, w.T("tide_no_station", "name", s.name))
			return nil
		}
		var walk *time.Duration
		if s.card != nil {
			walk = s.card.Walk()
		}
		d, err := conditions.LightOf(s.name, *at, day, a.cause.Now, s.zone, walk)
		if err != nil {
			return a.tideRefused(tx, w, day.String())
		}
		a.reply(tx, w.Light(d), a.dayButtons(tx, w, s, day, actLight, w.T("b_tide"), actTide)...)
		return nil
	})
}

// dayButtons lead to the day after and to the other of the two answers.
func (a *ask) dayButtons(tx *session.Tx, w wording.Words, s spot, day sky.Date, act, label, other string) [][]chat.Button {
	if s.ledge < 0 {
		return nil
	}
	r := ref(tx.Crew, "")
	next := sky.DateIn(time.Date(day.Year, day.Month, day.Day+1, 12, 0, 0, 0, time.UTC), time.UTC)
	return [][]chat.Button{{
		button(w.T("b_next_day"), act, r, packDay(s.ledge, next)), button(label, other, r, packDay(s.ledge, day)),
	}}
}

// packDay puts a ledge and a day into a button: the ledge's place in the crew's list, the date.
func packDay(i int, d sky.Date) string { return "#" + strconv.Itoa(i) + "." + d.String() }

func unpackDay(s string) (i int, d sky.Date, ok bool) {
	n, date, found := strings.Cut(strings.TrimPrefix(s, "#"), ".")
	i, err := strconv.Atoi(n)
	d, err1 := sky.ParseDate(date)
	return i, d, strings.HasPrefix(s, "#") && found && err == nil && err1 == nil && i >= 0
}

func (a *ask) tideRefused(tx *session.Tx, w wording.Words, said string) error {
	a.reply(tx, w.T("tide_unread", "said", wording.Clean(said, 40), "example", command.TideExample))
	return nil
}

// spotRefused says what to type instead of a line whose place or day could not be read.
func (a *ask) spotRefused(tx *session.Tx, w wording.Words, s spot, said, which string, err error) error {
	var un *command.Unread
	var amb *command.Ambiguous
	switch {
	case errors.Is(err, errNoSpot) && s.name != "":
		a.reply(tx, w.T("tide_no_place", "said", wording.Clean(s.name, 40)))
	case errors.Is(err, errNoSpot):
		a.reply(tx, which)
	case errors.As(err, &un), errors.As(err, &amb):
		return a.tideRefused(tx, w, said)
	default:
		return err
	}
	return nil
}
