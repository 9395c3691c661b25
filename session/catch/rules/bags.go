package rules

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"ledgehand/session/catch"
)

// Count is how full a bag is.
type Count struct {
	Pack   *Pack
	Rule   *Rule
	Stated Stated
	Who    string
	Kept   int   // fish that are in it
	Unsure int   // fish that may be
	UG     int64 // by weight, the least it can be
	MostUG int64 // the most
	Blind  int   // kept fish that nobody weighed

	Limit   int   // fish
	LimitUG int64 // by weight
	Period  string
	Party   bool   // of everybody together
	Kind    string // the species, where each is counted by itself
	Home    int    // at home, as somebody said
	Sure    bool   // the rule holds here; else it may
}

// Weighs says whether it is a bag by weight.
func (c Count) Weighs() bool { return c.LimitUG > 0 }

// Over says by how many fish a bag is passed.
func (c Count) Over() int { return max(0, c.Kept-c.Limit) }

// OverUG is the same by weight.
func (c Count) OverUG() int64 { return max(0, c.UG-c.LimitUG) }

// Room is how many more fish may be kept for certain.
func (c Count) Room() int { return max(0, c.Limit-c.Kept-c.Unsure) }

// Full says whether nothing more may be kept.
func (c Count) Full() bool {
	if c.Weighs() {
		return c.UG >= c.LimitUG
	}
	return c.Kept >= c.Limit
}

// room puts bags in order, the fullest first.
func (c Count) room() float64 {
	if c.Weighs() {
		return float64(c.LimitUG-c.UG) / 1e9
	}
	return float64(c.Limit - c.Kept)
}

// counting is an entry that counts in a bag.
type counting struct {
	e    catch.Entry
	sure tri
}

// sameOne says whether two entries are of the same person's fish.
func sameOne(a, b catch.Entry) bool {
	if a.WhoID != 0 && b.WhoID != 0 {
		return a.WhoID == b.WhoID
	}
	return strings.EqualFold(a.Who, b.Who)
}

// counted are the entries that count with one in a bag and a period. Of any 24 hours it is those in which most were kept.
func (x candidate) counted(c Case, e catch.Entry, r *Rule, period string, everybody, each bool) []counting {
	var all []counting
	for _, d := range c.Days {
		for _, o := range d.Entries {
			if !o.Undone.IsZero() || o.Blank || keeping(o) == 0 || !everybody && !sameOne(e, o) {
				continue
			}
			sure := x.h.covers(r, fishOf(o))
			if each && o.Species != e.Species {
				if sure == yes {
					continue
				}
			}
			if sure != no {
				all = append(all, counting{o, sure})
			}
		}
	}
	switch period {
	case Any24:
		return worst24(all, e.At)
	case Trip:
		all = slices.DeleteFunc(all, func(o counting) bool {
			return o.e.Outing != e.Outing || e.Outing == "" && !c.day(o.e.At).Equal(c.day(e.At))
		})
	case Year:
		all = slices.DeleteFunc(all, func(o counting) bool { return c.day(o.e.At).Year() != c.day(e.At).Year() })
	default:
		all = slices.DeleteFunc(all, func(o counting) bool { return !c.day(o.e.At).Equal(c.day(e.At)) })
	}
	return all
}

// worst24 are the entries of those 24 hours around an instant in which most fish were kept. Hours are counted as they pass, so
// that a clock that is put forward or back changes nothing; what lies exactly 24 hours apart counts together.
func worst24(all []counting, at time.Time) (worst []counting) {
	most := -1
	starts := []time.Time{at}
	for _, o := range all {
		if !o.e.At.After(at) && at.Sub(o.e.At) <= 24*time.Hour {
			starts = append(starts, o.e.At)
		}
	}
	for _, from := range starts {
		var in []counting
		n := 0
		for _, o := range all {
			if d := o.e.At.Sub(from); d >= 0 && d <= 24*time.Hour {
				in = append(in, o)
				n += keeping(o.e)
			}
		}
		if n > most {
			most, worst = n, in
		}
	}
	return worst
}

// sum adds up entries.
func sum(of []counting, count *Count, oneOver bool) {
	var least, most []float64
	for _, o := range of {
		n := keeping(o.e)
		sure := o.sure == yes && o.e.Kept != nil
		if sure {
			count.Kept += n
		} else {
			count.Unsure += n
		}
		w := slices.Clone(o.e.WeightsG)
		if len(w) < max(o.e.Count, 1) || o.e.Estimated {
			count.Blind += n
			continue
		}
		slices.Sort(w)
		n = min(n, len(w))
		if sure {
			least = append(least, w[:n]...)
		}
		most = append(most, w[len(w)-n:]...)
	}
	total := func(w []float64) int64 {
		var all, heaviest float64
		for _, g := range w {
			all += g
			heaviest = max(heaviest, g)
		}
		if oneOver {
			all -= heaviest
		}
		return int64(math.Round(all * 1e6))
	}
	count.UG, count.MostUG = total(least), total(most)
}

// count fills one bag with what somebody keeps.
func (x candidate) count(c Case, e catch.Entry, b Bag) Count {
	everybody := b.Per == "party" || b.Per == "vessel"
	out := Count{Pack: x.h.Pack, Rule: x.r, Stated: x.h.stated(x.r), Who: e.Who, Period: b.Period, Party: everybody, Sure: x.sure == yes}
	if b.Weighs() {
		out.LimitUG = b.UG()
	} else {
		out.Limit = b.Fish()
	}
	if b.Each {
		out.Kind = cmp.Or(e.Named, e.Species)
	}
	sum(x.counted(c, e, x.r, b.Period, everybody, b.Each), &out, b.OneOver)
	return out
}

// bags holds what somebody keeps against the bags of one rule.
func (x candidate) bags(c Case, e catch.Entry) (out []Finding) {
	r := x.r
	if r.Bag != nil {
		n := x.count(c, e, *r.Bag)
		out = append(out, x.full(n, OverBag)...)
		carried := x.finding(counted, Note)
		carried.Count = &n
		out = append(out, carried)
	}
	if r.OfOneKind > 0 {
		b := *r.Bag
		b.Amount, b.Each = Amount{N: Number{int64(r.OfOneKind) * 1000}, Unit: "fish"}, true
		if n := x.count(c, e, b); n.Kept > n.Limit || n.Kept+n.Unsure > n.Limit {
			out = append(out, x.full(n, OneKind)...)
		}
	}
	if r.Vessel != nil && c.mode() == Boat {
		n := x.count(c, e, Bag{Amount: *r.Vessel, Per: "vessel", Period: Day})
		out = append(out, x.full(n, OverVessel)...)
	}
	return append(out, x.possession(c, e)...)
}

// full says what a count comes to.
func (x candidate) full(n Count, over What) []Finding {
	f := x.finding(over, Broken)
	f.Count = &n
	switch {
	case n.Weighs() && n.UG > n.LimitUG:
	case n.Weighs() && n.Blind > 0:
		f.What, f.Level = BagUnweighd, Unknown
	case n.Weighs() && n.MostUG > n.LimitUG:
		f.What, f.Level = BagUnsure, Unknown
	case n.Weighs():
		return nil
	case n.Kept > n.Limit:
	case n.Kept+n.Unsure > n.Limit:
		f.What, f.Level = BagUnsure, Unknown
	case n.Kept == n.Limit && over == OverBag:
		f.What, f.Level = AtBag, Note
	default:
		return nil
	}
	return []Finding{f}
}

// possession holds all that somebody has against the possession limit. What is at home is only known if they said so.
func (x candidate) possession(c Case, e catch.Entry) []Finding {
	p := x.r.Possession
	if p == nil {
		return nil
	}
	amount := p.Amount
	if p.Times > 0 {
		b := x.r.Bag
		for _, g := range x.h.Groups {
			if b == nil && slices.Contains(x.r.Inside, g.ID) {
				b = g.Bag
			}
		}
		amount = Amount{N: Number{b.N.Milli * int64(p.Times)}, Unit: b.Unit}
	}
	n := Count{Pack: x.h.Pack, Rule: x.r, Stated: x.h.stated(x.r), Who: e.Who, Sure: x.sure == yes}
	if amount.Weighs() {
		n.LimitUG = amount.UG()
	} else {
		n.Limit = amount.Fish()
	}
	var since time.Time
	said := false
	homeUG := int64(0)
	for _, s := range c.Home {
		of := catch.Entry{Who: s.Who, WhoID: s.WhoID, Species: s.Species, Named: s.Named}
		if !sameOne(of, e) || c.Now.Sub(s.At) > StockLasts || x.h.covers(x.r, fishOf(of)) != yes {
			continue
		}
		said = true
		if since.IsZero() || s.At.Before(since) {
			since = s.At
		}
		n.Home += s.N
		homeUG += int64(math.Round(s.Grams * 1e6))
		if amount.Weighs() && s.Grams == 0 && s.N > 0 {
			n.Blind += s.N
		}
	}
	var mine []counting
	for _, d := range c.Days {
		for _, o := range d.Entries {
			if !o.Undone.IsZero() || o.Blank || keeping(o) == 0 || !sameOne(e, o) {
				continue
			}
			if said && !o.At.After(since) || !said && !c.day(o.At).Equal(c.day(e.At)) {
				continue
			}
			if sure := x.h.covers(x.r, fishOf(o)); sure != no {
				mine = append(mine, counting{o, sure})
			}
		}
	}
	sum(mine, &n, false)
	n.Kept += n.Home
	n.UG += homeUG
	n.MostUG += homeUG
	out := x.full(n, OverHeld)
	if !said && len(out) == 0 {
		out = append(out, x.finding(HomeUnsaid, Note))
	}
	return out
}

// Back is from which day on entries must be known to judge one of this instant, as YYYY-MM-DD, and to which.
func (b Book) Back(c Case, e catch.Entry) (from, to string) {
	at := c.day(e.At)
	first := at
	reach := func(t time.Time) {
		if t.Before(first) {
			first = t
		}
	}
	cands, _ := b.candidates(c, fishOf(e), at)
	for _, x := range cands {
		if x.r.Bag != nil {
			switch x.r.Bag.Period {
			case Any24:
				reach(at.AddDate(0, 0, -2)) // a day may have 25 hours, and the crew another zone
			case Trip:
				reach(at.AddDate(0, 0, -7))
			case Year:
				reach(time.Date(at.Year(), 1, 1, 0, 0, 0, 0, time.UTC))
			}
		}
		if x.r.Possession != nil {
			for _, s := range c.Home {
				if c.Now.Sub(s.At) <= StockLasts {
					reach(c.day(s.At))
				}
			}
		}
	}
	return first.Format(time.DateOnly), at.AddDate(0, 0, 1).Format(time.DateOnly)
}

// Bags are all bags that somebody has fish in at an instant, or may have: the fullest first.
func (b Book) Bags(c Case, who string, whoID int64) (out []Count) {
	me := catch.Entry{Who: who, WhoID: whoID, At: c.Now}
	type bag struct {
		r    *Rule
		kind string
	}
	seen := map[bag]bool{}
	type kind struct{ species, named, outing string }
	met := map[kind]bool{}
	for _, d := range c.Days {
		for _, o := range d.Entries {
			if !o.Undone.IsZero() || o.Blank || keeping(o) == 0 || !sameOne(me, o) {
				continue
			}
			if k := (kind{o.Species, o.Named, o.Outing}); met[k] {
				continue
			} else {
				met[k] = true
			}
			e := me
			e.Species, e.Named, e.Outing = o.Species, o.Named, o.Outing
			cands, _ := b.candidates(c, fishOf(e), c.day(c.Now))
			for _, x := range cands {
				if x.r.Bag == nil {
					continue
				}
				k := bag{x.r, ""}
				if x.r.Bag.Each {
					k.kind = o.Species
				}
				n := x.count(c, e, *x.r.Bag)
				if seen[k] || n.Kept+n.Unsure+n.Blind == 0 {
					continue
				}
				seen[k] = true
				out = append(out, n)
			}
		}
	}
	slices.SortStableFunc(out, func(x, y Count) int { return cmp.Compare(x.room(), y.room()) })
	return out
}
