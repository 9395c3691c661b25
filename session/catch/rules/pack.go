package rules

import (
	"slices"
	"strings"
	"time"
)

// Format is the version of the file format.
const Format = 1

// Pack is a file of rules: those of one jurisdiction.
type Pack struct {
	Format       int      `json:"format"`
	ID           string   `json:"id"` // a pack with the same id takes its place
	Title        string   `json:"title"`
	Example      bool     `json:"example"` // shows the format: nothing in it is answered by
	Jurisdiction string   `json:"jurisdiction"`
	Covers       []string `json:"covers"`    // further codes it holds in: EU covers ES
	Waters       string   `json:"waters"`    // in words, which waters it is about
	ListsAll     bool     `json:"lists_all"` // it has every fish its source lists, so that a default holds for the rest
	Stated                // for every rule that does not say otherwise
	Areas        []Area   `json:"areas"`
	Groups       []*Rule  `json:"groups"` // bags that several rules share
	Caps         []*Rule  `json:"caps"`   // limits over everything
	Rules        []*Rule  `json:"rules"`
	Notes        string   `json:"notes"`
}

// Stated says where words are from and how old they are.
type Stated struct {
	Source     string     `json:"source"`
	AsOf       string     `json:"as_of"`      // the date of the text, as far as it has one
	CheckedOn  Date       `json:"checked_on"` // when somebody of the crew last compared it with the real one
	Provenance Provenance `json:"provenance"`
}

// Provenance is how near to the law a text is.
type Provenance string

// The provenances. What is second-hand is never answered by as if it were the law.
const (
	Official  Provenance = "official"                      // the agency's own page or law
	Copied    Provenance = "official text, secondary copy" // its words, quoted elsewhere
	Secondary Provenance = "secondary"                     // a magazine, a club, a compilation
	OwnWord   Provenance = "crew"                          // what the crew read itself and typed
)

// Area is a part of the jurisdiction that some rules hold in.
type Area struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	Inside string `json:"inside"` // the area it is a part of
}

// Rule is one rule, group or cap: they have the same fields, and whatever is given must hold.
type Rule struct {
	ID      string   `json:"id"`
	Name    string   `json:"name"`      // as people call the fish or the group
	Species []string `json:"species"`   // "Sparus aurata", "Sebastes spp.", "Labridae", "*"
	Named   []string `json:"named"`     // plain names, where no scientific one is known
	But     []string `json:"but"`       // not these, as Species
	ButOpen bool     `json:"but_open"`  // nor others, which the source does not name
	Open    bool     `json:"open_list"` // the source goes on with "and others"
	Default bool     `json:"default"`   // for fish that the pack lists nowhere else

	Areas       []string    `json:"areas"`        // where it holds, ids; none: everywhere in the jurisdiction
	NotIn       []string    `json:"not_in"`       // where it does not
	ExceptionTo []string    `json:"exception_to"` // stands in the place of these rules where and while it holds
	Applies     Applies     `json:"applies"`
	ValidFrom   Date        `json:"valid_from"`
	ValidTo     Date        `json:"valid_to"` // the last day
	InForce     []Season    `json:"in_force"` // parts of the year in which it holds at all
	Needs       string      `json:"needs"`    // a licence or permit without which none may be kept
	Measure     Measure     `json:"measure"`
	Measured    string      `json:"measured"`        // how: "tail squeezed", "nose to caudal fork"
	MeasureFrom string      `json:"measure_stated"`  // yes, or assumed where the source is silent
	Min         *Length     `json:"min"`             // shorter may not be kept
	Max         *Length     `json:"max"`             // longer may not be kept
	Inclusive   string      `json:"inclusive"`       // whether a fish right on it may be kept: both (the usual), none, min, max
	MinWeight   *Weight     `json:"min_weight"`      //
	EitherOr    bool        `json:"either_or"`       // reaching the length or the weight is enough
	Over        *Over       `json:"over"`            // of longer ones only so many
	Undersize   int         `json:"undersize"`       // so many a person and day may be under the minimum
	Processed   *Processed  `json:"processed"`       // another minimum for fish that were cut
	Bag         *Bag        `json:"bag"`             //
	OfOneKind   int         `json:"of_one_kind"`     // of the bag at most so many of one species
	Inside      []string    `json:"inside"`          // groups that its fish count in as well
	Possession  *Possession `json:"possession"`      // all that somebody holds, at home too
	Vessel      *Amount     `json:"vessel"`          // of all aboard
	Transport   *Amount     `json:"transport"`       // on the road; shown, not judged
	Seasons     []Season    `json:"seasons"`         //
	Gear        []Gear      `json:"gear"`            // shown, not judged
	Handling    []string    `json:"handling"`        // what must be done with the fish; shown
	Disagree    string      `json:"sources_differ"`  // what another source says
	Text        string      `json:"text"`            // the words of the source
	BagFrom     Provenance  `json:"bag_provenance"`  // where the bag is from, if not from where the rest is
	BagSource   string      `json:"bag_source"`      //
	Counts      string      `json:"counts_released"` // no: what is put back at once does not count
	Stated

	line int // in the file
	kind kind
}

type kind int

const (
	isRule kind = iota
	isGroup
	isCap
)

// Applies says for whom a rule is.
type Applies struct {
	Mode    string `json:"mode"`     // shore, boat; none: both
	Licence string `json:"licence"`  // only those who hold it
	AgeFrom int    `json:"age_from"` // years
	AgeTo   int    `json:"age_to"`   // the last year it holds for
}

// Measure is between which points a fish is measured.
type Measure string

// The measures known; others are kept as they are and never converted.
const (
	TL Measure = "TL" // total length
	FL Measure = "FL" // to the fork
	SL Measure = "SL" // to the end of the backbone
	UJ Measure = "UJ" // from the upper jaw to the tail
	CL Measure = "CL" // carapace
	CW Measure = "CW" // carapace, across
	AL Measure = "AL" // alternate length, of a fish that was cut
)

// Over bounds how many of the kept may be longer than a length.
type Over struct {
	Than   *Length `json:"than"`
	N      int     `json:"n"`
	Vessel int     `json:"vessel"` // of all aboard, 0: not said
}

// Processed is a minimum for fish that were cut.
type Processed struct {
	Min *Length `json:"min"`
	How string  `json:"how"`
}

// Bag is how much may be kept.
type Bag struct {
	Amount
	Per     string `json:"per"`       // person, licence, party, vessel
	Period  string `json:"period"`    // day (of the place), any 24 h, trip, year
	OneOver bool   `json:"one_over"`  // of a weight: one fish is not counted
	Each    bool   `json:"each_kind"` // each species by itself
}

// Amount is fish, or weight.
type Amount struct {
	N    Number `json:"n"`
	Unit string `json:"unit"` // fish, kg
}

// Fish is the amount as a number of fish.
func (a Amount) Fish() int { return int(a.N.Milli / 1000) }

// UG is the amount as a weight in micrograms.
func (a Amount) UG() int64 { return a.N.Milli * 1_000_000 }

// Weighs says whether it is a weight.
func (a Amount) Weighs() bool { return a.Unit == "kg" }

// Possession is all that somebody may hold.
type Possession struct {
	Amount
	Times int // of the bag: 1 equal, 2 double; 0: the amount
}

// Season is a part of the year, or of one year, and what holds then.
type Season struct {
	From  When     `json:"from"`
	To    When     `json:"to"`    // the last day; before From: over the new year
	Means string   `json:"means"` // no-fish, no-keep, keep-only, closed
	Where []string `json:"where"` // areas; none: wherever the rule holds
	Text  string   `json:"text"`
}

// What a season means.
const (
	NoFish   = "no-fish"   // no fishing for it at all
	NoKeep   = "no-keep"   // letting go is allowed
	KeepOnly = "keep-only" // keeping is allowed in it and at no other time
	Closed   = "closed"    // the source says no more: none may be kept, and whether it may be fished for is not said
)

// Gear is a rule about gear or bait.
type Gear struct {
	What  string   `json:"what"` // rods, hooks a line, lights, ground-bait
	Most  int      `json:"most"` // 0 with Ban, or where there is no number
	Ban   bool     `json:"ban"`
	Mode  string   `json:"mode"` // shore, boat; none: both
	Areas []string `json:"areas"`
	Text  string   `json:"text"`
}

// Stale is when a rule is too old to answer by.
const Stale = 365 * 24 * time.Hour

// stated is what holds for a rule: its own words, else its pack's.
func (p *Pack) stated(r *Rule) Stated {
	s := r.Stated
	if s.Source == "" {
		s.Source = p.Source
	}
	if s.AsOf == "" {
		s.AsOf = p.AsOf
	}
	if s.CheckedOn.IsZero() {
		s.CheckedOn = p.CheckedOn
	}
	if s.Provenance == "" {
		s.Provenance = p.Provenance
	}
	return s
}

// all are rules, groups and caps.
func (p *Pack) all() []*Rule {
	out := append([]*Rule(nil), p.Rules...)
	out = append(out, p.Groups...)
	return append(out, p.Caps...)
}

// Find is the rule, group or cap with an id.
func (p *Pack) Find(id string) (*Rule, bool) {
	for _, r := range p.all() {
		if r.ID == id {
			return r, true
		}
	}
	return nil, false
}

// AreaNamed finds an area by its id or name.
func (p *Pack) AreaNamed(said string) (Area, bool) {
	i := slices.IndexFunc(p.Areas, func(a Area) bool {
		return strings.EqualFold(a.ID, said) || strings.EqualFold(a.Name, strings.TrimSpace(said))
	})
	if i < 0 {
		return Area{}, false
	}
	return p.Areas[i], true
}

// GearRule is a rule about gear or handling, and where it is from.
type GearRule struct {
	Gear
	Handling string // instead
	Sure     bool   // it holds where the crew fishes; else it may
	Where    string // the names of its areas
	Stated   Stated
	Example  bool
}

// Gear are all rules about gear and handling that hold, or may hold, where and how the crew fishes.
func (b Book) Gear(c Case) (out []GearRule) {
	day := c.day(c.Now)
	for _, h := range b {
		if h.Jurisdiction != ownPlace && c.Area != "" && !h.HoldsIn(c.Area) {
			continue
		}
		for _, r := range h.all() {
			if !r.during(day) || r.forMode(c.mode()) == no || h.where(r) == no {
				continue
			}
			g := GearRule{Stated: h.stated(r), Example: h.Example}
			for _, x := range r.Gear {
				in := h.where(r).and(h.within(x.Areas))
				if in == no || x.Mode != "" && x.Mode != c.mode() {
					continue
				}
				g.Gear, g.Sure, g.Where = x, in == yes && c.Area != "", ""
				for _, id := range x.Areas {
					a, _ := h.area(id)
					g.Where = strings.TrimPrefix(g.Where+", "+a.Name, ", ")
				}
				out = append(out, g)
			}
			g.Gear, g.Where, g.Sure = Gear{}, "", h.where(r) == yes && c.Area != ""
			for _, x := range r.Handling {
				g.Handling = x
				out = append(out, g)
			}
		}
	}
	return out
}
