package bot

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"ledgehand/bot/command"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// From what somebody typed or tapped to a card whose heights all count from the datum of its tide station, in a zone that
// was not guessed.

// errNoStation is only for places off the Earth: far from every gauge a card has the nearest, and says how far it is.
var errNoStation = errors.New("no tide station")

// whichZone says that the clocks of a place have to be asked for.
type whichZone struct{ zones []string }

func (e *whichZone) Error() string {
	return "the place may lie in any of " + strings.Join(e.zones, ", ")
}

// whichLevel says that the heights of a card have to be given anew: nobody knows how its old datum lies to the new one.
type whichLevel struct {
	station, datum string
	err            error
}

func (e *whichLevel) Error() string {
	return fmt.Sprintf("heights for station %q: %v", e.station, e.err)
}
func (e *whichLevel) Unwrap() error { return e.err }

// revise puts what a typed line gave onto a card.
func revise(c ledge.Card, f command.LedgeFields, now time.Time) (ledge.Card, error) {
	before := c.TideStation
	if f.At != nil {
		c.Exact, c.TideStation, c.Zone = f.At, "", ""
	}
	if f.Station != nil {
		c.TideStation = *f.Station
	}
	if f.Zone != nil {
		c.Zone = *f.Zone
	}
	if c.Exact == nil {
		return c, nil // the caller asks for it
	}
	if c.TideStation == "" {
		st, ok := tide.Choose(*c.Exact)
		if !ok {
			return c, errNoStation
		}
		c.TideStation = st.ID
	}
	if before != "" && before != c.TideStation {
		old := c
		old.TideStation = before
		var err error
		if c, err = rebased(old, c.TideStation, f); err != nil {
			return c, err
		}
	}
	for _, x := range []struct {
		to    **measure.Metres
		given *measure.Metres
		datum string
		sign  measure.Metres // a depth counts downwards
	}{{&c.LipHeight, f.Lip, f.LipDatum, 1}, {&c.WalkInGate, f.Gate, f.GateDatum, 1}, {&c.FootDepth, f.Foot, f.FootDatum, -1}} {
		if x.given == nil {
			continue
		}
		v := *x.given
		if x.datum != "" {
			h, err := tide.FromDatum(c.TideStation, x.datum, x.sign*v)
			if err != nil {
				return c, err
			}
			v = x.sign * h
		}
		*x.to = &v
	}
	if f.Lip != nil {
		c.LipMeasured = ledge.Estimated
	}
	if f.Faces != nil {
		c.Faces = f.Faces
	}
	if f.Open != nil {
		s := ledge.Sector{f.Open.From, f.Open.To}
		c.OpenSector = &s
	}
	if f.Slope != nil {
		c.FaceSlope = f.Slope
	}
	if f.Signal != nil {
		switch *f.Signal {
		case command.SignalNo:
			c.Signal = ledge.SignalNo
		case command.SignalYes:
			c.Signal = ledge.SignalYes
		default:
			c.Signal = ledge.SignalPatchy
		}
	}
	if f.Number != nil {
		c.Emergency.Number = *f.Number
	}
	if f.Walk != nil {
		c.WalkMinutes = int(f.Walk.Minutes())
	}
	if f.People != nil {
		c.Capacity = *f.People
	}
	return finishCard(c, *c.Exact, now)
}

// rebased gives a card another tide station: its heights, but for those given anew, are levelled over.
func rebased(c ledge.Card, station string, f command.LedgeFields) (ledge.Card, error) {
	st, err := tide.Find(station)
	if err != nil {
		return c, err
	}
	kept := c.LipHeight != nil && f.Lip == nil || c.WalkInGate != nil && f.Gate == nil || c.FootDepth != nil && f.Foot == nil
	by, _, err := tide.Rebase(c.TideStation, station)
	if err != nil && kept {
		return c, &whichLevel{station: st.Name, datum: st.Datum, err: err}
	}
	c = c.Lifted(by)
	c.TideStation = station
	return c, nil
}

// finishCard fills in what follows from the place: tide station, zone, sea anchor.
func finishCard(c ledge.Card, near measure.Position, now time.Time) (ledge.Card, error) {
	if c.TideStation == "" {
		st, ok := tide.Choose(near)
		if !ok {
			return c, errNoStation
		}
		c.TideStation = st.ID
	}
	st, err := tide.Find(c.TideStation)
	if err != nil {
		return c, fmt.Errorf("find the tide station of a ledge: %w", err)
	}
	c.Datum = st.Datum
	if c.Zone == "" {
		zones := tide.ZonesAt(near, now)
		if len(zones) != 1 {
			return c, &whichZone{zones}
		}
		c.Zone = zones[0]
	}
	if c.Faces != nil {
		anchor, err := ledge.SnapSeaAnchor(near, *c.Faces)
		if err != nil {
			return c, fmt.Errorf("choose the place at sea: %w", err)
		}
		c.SeaAnchor = &anchor
	}
	return c, c.Check()
}
