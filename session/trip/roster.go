package trip

import "slices"

// MostPeople bounds a plan's roster: a crew is smaller, a group too large to be one needs no more (common practice, no source).
const MostPeople = 60

// mostSeats is what a car or a van may offer besides its driver.
const mostSeats = 8

// Drive says that somebody comes by car, and how many seats are free in it; or that they do not.
type Drive struct {
	ID    int64
	Name  string
	Car   bool
	Seats int
}

// Newcomer says that somebody is on this ledge for the first time, or is not.
type Newcomer struct {
	ID    int64
	First bool
}

// WalkWith says that somebody walks in with one who is there for the first time; said again it is taken back.
type WalkWith struct {
	ID   int64
	Name string
	With int64
}

// Shown notes the message that shows the plan: the newest, for ids grow.
type Shown struct{ Message int }

// say notes an answer.
func (t *Trip) say(e Say) error {
	if e.Answer != In && e.Answer != Maybe && e.Answer != Cant {
		return ErrUnknown
	}
	i := t.at(e.ID)
	if i < 0 {
		if len(t.Roster) >= MostPeople {
			return ErrFull
		}
		t.Roster = append(t.Roster, Place{ID: e.ID})
		i = len(t.Roster) - 1
	}
	p := &t.Roster[i]
	p.Name, p.Answer = e.Name, e.Answer
	if e.Answer == In {
		p.Confirmed = max(p.Confirmed, min(e.Seen, t.Seq))
	}
	if e.Seats != nil {
		p.Seats = min(max(*e.Seats, 0), mostSeats)
	}
	if e.First != nil {
		p.First = *e.First
	}
	if e.Answer == Cant { // what they were to bring is open again, loudly: it blocks "ready"
		p.Seats, p.Drives = 0, false
		for j := range t.Gear {
			if t.Gear[j].By == e.ID {
				t.Gear[j].By, t.Gear[j].ByName = 0, ""
			}
		}
	}
	return nil
}

func (t *Trip) at(id int64) int {
	return slices.IndexFunc(t.Roster, func(p Place) bool { return p.ID == id })
}

// coming finds somebody who is in, or perhaps.
func (t *Trip) coming(id int64) (*Place, error) {
	i := t.at(id)
	if i < 0 || t.Roster[i].Answer == Cant {
		return nil, ErrNotIn
	}
	return &t.Roster[i], nil
}

func (t *Trip) drive(e Drive) error {
	p, err := t.coming(e.ID)
	if err != nil {
		return err
	}
	p.Drives, p.Seats = e.Car, 0
	if e.Car {
		p.Seats = min(max(e.Seats, 0), mostSeats)
	}
	return nil
}

func (t *Trip) newcomer(e Newcomer) error {
	p, err := t.coming(e.ID)
	if err != nil {
		return err
	}
	p.First = e.First
	return nil
}

func (t *Trip) walkWith(e WalkWith) error {
	me, err := t.coming(e.ID)
	if err != nil || me.Answer != In {
		return ErrNotIn
	}
	if me.First {
		return ErrFirstToo
	}
	p, err := t.coming(e.With)
	switch {
	case err != nil || !p.First:
		return ErrUnknown
	case p.WalkBy == e.ID:
		p.WalkBy, p.WalkName = 0, ""
	case p.WalkBy != 0:
		return ErrTaken
	default:
		p.WalkBy, p.WalkName = e.ID, e.Name
	}
	return nil
}

// tidy takes back what no longer holds: nobody walks in with somebody who knows the way, or does not come, and nobody who is not
// in walks in with anybody.
func (t *Trip) tidy() {
	for i := range t.Roster {
		p := &t.Roster[i]
		by, ok := t.Person(p.WalkBy)
		if p.WalkBy != 0 && (!p.First || p.Answer == Cant || !ok || by.Answer != In || by.First) {
			p.WalkBy, p.WalkName = 0, ""
		}
	}
}

// Lift is how many of those who are in have no car, and how many seats there are for them. known is false while nobody has
// said that they drive: then nothing can be said of it.
func (t Trip) Lift() (need, seats int, known bool) {
	for _, p := range t.Who(In) {
		if p.Drives || p.Seats > 0 { // seats without the other word were noted before there was one
			known = true
			seats += p.Seats
		} else {
			need++
		}
	}
	return need, seats, known
}

// Newcomers are those on this ledge for the first time who are in, or perhaps.
func (t Trip) Newcomers() []Place {
	return slices.DeleteFunc(slices.Clone(t.Roster), func(p Place) bool { return !p.First || p.Answer == Cant })
}

// Over is by how many more are in than the ledge takes, 0 where that is not known.
func (t Trip) Over() int {
	if t.Capacity == 0 {
		return 0
	}
	return max(0, len(t.Who(In))-t.Capacity)
}
