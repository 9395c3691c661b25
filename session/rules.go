package session

import (
	"slices"
	"strings"
	"time"
)

// Rules are the packs of size and bag rules a crew holds, with what it says of itself that they hang on. A record of its own: packs
// are large, and a crew's own record is read for every line.
type Rules struct {
	V     int       `json:"v"`
	Packs []Pack    `json:"packs,omitempty"`
	Near  int       `json:"near,omitempty"` // how near to a limit is measured again, micrometres; 0: as usual
	Mode  string    `json:"mode,omitempty"` // shore or boat; "": shore
	Home  []Freezer `json:"home,omitempty"`
}

// Pack is a file of rules as it was sent; this package does not look inside.
type Pack struct {
	ID   string    `json:"id"`
	Name string    `json:"name"` // of the file
	File string    `json:"file"`
	By   string    `json:"by,omitempty"`
	At   time.Time `json:"at"`
	Area string    `json:"area,omitempty"` // where in its areas the crew fishes
}

// Freezer is what somebody says they have at home of one kind of fish.
type Freezer struct {
	Who     int64     `json:"who"`
	Name    string    `json:"name"`
	Species string    `json:"species"`
	Named   string    `json:"named"`
	N       int       `json:"n"`
	Grams   float64   `json:"grams,omitempty"` // 0: not said
	At      time.Time `json:"at"`
}

const rulesVersion = 1

// rulesID is the id of the record within a crew: there is one.
const rulesID = "held"

func rulesKey(c CrewID) string { return "rules/" + string(c) + "/" + rulesID }

// PutPack takes a pack in the place of the one with its id. Where the crew fishes stays as it was said.
func (r *Rules) PutPack(p Pack) (replaced bool) {
	r.Packs = slices.Clone(r.Packs)
	for i := range r.Packs {
		if r.Packs[i].ID == p.ID {
			p.Area = r.Packs[i].Area
			r.Packs[i] = p
			return true
		}
	}
	r.Packs = append(r.Packs, p)
	return false
}

// DropPack takes one out.
func (r *Rules) DropPack(id string) bool {
	n := len(r.Packs)
	r.Packs = slices.DeleteFunc(slices.Clone(r.Packs), func(p Pack) bool { return p.ID == id })
	return len(r.Packs) < n
}

// Bytes is how much all packs take.
func (r *Rules) Bytes() (n int) {
	for _, p := range r.Packs {
		n += len(p.File)
	}
	return n
}

// Freeze notes what somebody has at home of one kind, in the place of what they said of it before, and forgets what nobody counts any more.
func (r *Rules) Freeze(f Freezer, lasts time.Duration) {
	r.Home = slices.DeleteFunc(slices.Clone(r.Home), func(x Freezer) bool {
		return x.Who == f.Who && strings.EqualFold(x.Species, f.Species) || f.At.Sub(x.At) > lasts
	})
	r.Home = append(r.Home, f)
}

// LoadRules reads the packs of this crew.
func (tx *Tx) LoadRules() (r Rules, err error) {
	_, err = tx.load(rulesKey(tx.Crew), &r)
	return r, err
}

// PutRules writes them.
func (tx *Tx) PutRules(r Rules) error {
	r.V = rulesVersion
	return tx.put(rulesKey(tx.Crew), r)
}

// rules takes somebody out of a crew's rules.
func (f Forgotten) rules(r *Rules) (changed bool) {
	r.Packs = slices.Clone(r.Packs)
	for i := range r.Packs {
		changed = f.blank(&r.Packs[i].By) || changed
	}
	n := len(r.Home)
	r.Home = slices.DeleteFunc(slices.Clone(r.Home), func(x Freezer) bool { return x.Who == f.ID })
	return changed || len(r.Home) != n
}
