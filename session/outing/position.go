package outing

import "time"

// Position is where somebody's phone was, by a location they shared. It is a claim and it ages: a phone may lie on the
// rock, and no fix says how its owner is. Only the newest is kept, and none after "off".
type Position struct {
	Lat  float64   `json:"lat"` // degrees north
	Lon  float64   `json:"lon"` // degrees east
	At   time.Time `json:"at"`
	Live time.Time `json:"live,omitzero"` // shared until then; zero for a single pin
}

// Shows is a location that one of the party shared.
type Shows struct {
	By       int64
	Position Position
}

func (Shows) event() {}

// positionEvery is how much newer a fix must be to be worth a write: a shared location comes every few seconds.
const positionEvery = 30 * time.Second

func (o Outing) shows(e Shows, now time.Time) (Outing, []Effect, error) {
	m, ok := o.Member(e.By)
	switch {
	case !ok:
		return Outing{}, nil, ErrNotMember
	case o.Closed() || !m.OffAt.IsZero():
		return Outing{}, nil, ErrClosed
	}
	if was := m.Position; was != nil && e.Position.At.Before(was.At.Add(positionEvery)) {
		return o, nil, nil
	}
	p := e.Position
	for i := range o.People {
		if o.People[i].ID == e.By {
			o.People[i].Position = &p
		}
	}
	if p.Live.IsZero() { // sent by hand: somebody held the phone
		o.Heard = append(o.Heard, Heard{At: now, Who: m.Name, What: "place"})
	}
	return o, nil, nil
}
