package bot

import (
	"cmp"
	_ "embed" // the example
	"errors"
	"math"
	"path"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/catch"
	"ledgehand/session/catch/names"
	"ledgehand/session/catch/rules"
	"ledgehand/session/catch/weight"
)

// The job "rules": packs of size and bag rules that a crew loads by sending a file, and what is said of them.

// How many packs a crew may hold, and how much all of them may take: the largest example has 6 kB.
const (
	mostPacks     = 8
	mostPackBytes = 192 << 10
)

// rulesExample is a pack to begin with, of a coast that there is none of.
//
//go:embed rules_example.yaml
var rulesExample string

// book is what the crew holds, read. unread says that something of it cannot be.
func book(c session.Crew, r session.Rules) (b rules.Book, unread bool) {
	if len(c.Rules) > 0 {
		b = append(b, rules.FromLines(c.Rules))
	}
	for _, p := range r.Packs {
		x, err := rules.Load([]byte(p.File))
		if err != nil {
			unread = true
			continue
		}
		b = append(b, rules.Held{Pack: x, Place: p.Area})
	}
	return b, unread
}

// judge asks the rules the crew holds about an entry that is already in its day. What cannot be read is no rule that
// allows anything: then nobody can tell.
func (a *ask) judge(tx *session.Tx, c session.Crew, day catch.Day, e catch.Entry) rules.Answer {
	b, cs, unread, err := a.ruleCase(tx, c, e, day)
	if err != nil {
		unread = true
	}
	answer := b.Judge(cs, e)
	if unread {
		answer.Add(rules.Finding{What: rules.Unread, Level: rules.Unknown})
	}
	return answer
}

// ruleBook is what the crew holds, and what it says of itself that the rules hang on.
func (a *ask) ruleBook(tx *session.Tx, c session.Crew) (b rules.Book, cs rules.Case, unread bool, err error) {
	cs = rules.Case{Now: tx.Now(), Zone: zone(c.Zone), Area: c.Area}
	r, err := tx.LoadRules()
	if err != nil {
		return b, cs, true, err
	}
	b, unread = book(c, r)
	cs.Mode, cs.Near, cs.Convert = r.Mode, r.Near, a.turned
	for _, h := range r.Home {
		cs.Home = append(cs.Home, rules.Stock{WhoID: h.Who, Who: h.Name, Species: h.Species, Named: h.Named, N: h.N, Grams: h.Grams, At: h.At})
	}
	return b, cs, unread, nil
}

// ruleCase is the same with all that an entry is counted with. days are those that are not written yet.
func (a *ask) ruleCase(tx *session.Tx, c session.Crew, e catch.Entry, days ...catch.Day) (b rules.Book, cs rules.Case, unread bool, err error) {
	b, cs, unread, err = a.ruleBook(tx, c)
	if cs.Days = days; err != nil {
		return b, cs, true, err
	}
	more, err := tx.LoadDays(b.Back(cs, e))
	if err != nil {
		return b, cs, true, err
	}
	for _, d := range more {
		if !slices.ContainsFunc(days, func(x catch.Day) bool { return x.Date == d.Date }) {
			cs.Days = append(cs.Days, d)
		}
	}
	return b, cs, unread, nil
}

// turned is a length as measured another way, where a line is known for the species. It decides nothing near a limit (package rules).
func (a *ask) turned(e catch.Entry, from, to rules.Measure, um int) (int, bool) {
	s, ok := names.ByID(e.Species)
	if !ok {
		return 0, false
	}
	cm, ok := a.scales().Turn(s.Scientific, weight.Measure(from), weight.Measure(to), float64(um)/10_000)
	return int(math.Round(cm * 10_000)), ok
}

// rules is /rules: what the crew holds; with a file, or an answer that is one, a pack to take.
func (a *ask) rules(args string) error {
	if a.r.File != nil {
		return a.takePack()
	}
	what, rest, _ := strings.Cut(strings.TrimSpace(args), " ")
	rest = strings.TrimSpace(rest)
	switch strings.ToLower(what) {
	case "":
		return a.listRules()
	case "example":
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.sendFile(tx, w.T("rules_example"), chat.Document{Data: []byte(rulesExample), Name: "example-coast.yaml", Type: "application/yaml"})
			return nil
		})
	case "get":
		return a.onPack(rest, func(tx *session.Tx, w wording.Words, r *session.Rules, p session.Pack) bool {
			a.sendPack(tx, w.T("rules_got", "id", p.ID), p)
			return false
		})
	case "off":
		return a.onPack(rest, func(tx *session.Tx, w wording.Words, r *session.Rules, p session.Pack) bool {
			a.sendPack(tx, w.T("rules_off", "id", p.ID), p) // it goes along: whoever took it out by mistake sends it back
			return r.DropPack(p.ID)
		})
	case "area":
		return a.rulesArea(rest)
	case "near":
		return a.onRules(func(tx *session.Tx, c session.Crew, w wording.Words, r *session.Rules) (bool, error) {
			s, err := command.Length(rest, command.Metric)
			um := s.UM
			if err == nil && strings.Trim(rest, "0123456789.,") == "" {
				um /= 10 // a bare number is millimetres here
			}
			if err != nil || um < rules.LeastNear || um > rules.MostNear {
				a.reply(tx, w.T("rules_near_bad", "said", wording.Clean(rest, 20)))
				return false, nil
			}
			r.Near = um
			a.reply(tx, w.T("rules_near", "mm", float64(um)/1000))
			return true, nil
		})
	case "mode":
		return a.onRules(func(tx *session.Tx, c session.Crew, w wording.Words, r *session.Rules) (bool, error) {
			mode := oneOf(strings.ToLower(rest), rules.Shore, rules.Boat)
			if mode == "" {
				a.reply(tx, w.T("rules_mode_bad", "said", wording.Clean(rest, 20)))
				return false, nil
			}
			r.Mode = mode
			a.reply(tx, w.RulesMode(mode))
			return true, nil
		})
	case "gear":
		return a.onRules(func(tx *session.Tx, c session.Crew, w wording.Words, r *session.Rules) (bool, error) {
			b, _ := book(c, *r)
			a.reply(tx, w.Gear(b.Gear(rules.Case{Now: tx.Now(), Zone: zone(c.Zone), Area: c.Area, Mode: r.Mode})))
			return false, nil
		})
	}
	return a.say("rules_unread", "said", wording.Clean(args, 40))
}

// onRules changes the crew's rules, where fn says that it did.
func (a *ask) onRules(fn func(tx *session.Tx, c session.Crew, w wording.Words, r *session.Rules) (bool, error)) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		r, err := tx.LoadRules()
		if err != nil {
			return err
		}
		changed, err := fn(tx, c, w, &r)
		if err != nil || !changed {
			return err
		}
		return tx.PutRules(r)
	})
}

// onPack is onRules for one pack, named as somebody wrote it.
func (a *ask) onPack(id string, fn func(tx *session.Tx, w wording.Words, r *session.Rules, p session.Pack) (changed bool)) error {
	return a.onRules(func(tx *session.Tx, c session.Crew, w wording.Words, r *session.Rules) (bool, error) {
		i := slices.IndexFunc(r.Packs, func(p session.Pack) bool { return strings.EqualFold(p.ID, id) })
		if i < 0 {
			a.noPack(tx, w, r, id)
			return false, nil
		}
		return fn(tx, w, r, r.Packs[i]), nil
	})
}

// sendPack sends a pack back as the file it came as.
func (a *ask) sendPack(tx *session.Tx, text string, p session.Pack) {
	a.sendFile(tx, text, chat.Document{Data: []byte(p.File), Name: p.ID + extension(p.File), Type: "application/yaml"})
}

func (a *ask) noPack(tx *session.Tx, w wording.Words, r *session.Rules, said string) {
	var ids []string
	for _, p := range r.Packs {
		ids = append(ids, p.ID)
	}
	a.reply(tx, w.T("rules_no_pack", "said", wording.Clean(said, 40), "ids", orDash(strings.Join(ids, ", "))))
}

func extension(file string) string {
	if strings.HasPrefix(strings.TrimSpace(file), "{") {
		return ".json"
	}
	return ".yaml"
}

func (a *ask) listRules() error {
	return a.onRules(func(tx *session.Tx, c session.Crew, w wording.Words, r *session.Rules) (bool, error) {
		var out []string
		for _, p := range r.Packs {
			if x, err := rules.Load([]byte(p.File)); err == nil {
				out = append(out, w.Pack(x, p.Area, c.Area, tx.Now()))
			} else {
				out = append(out, w.T("pack_unread", "id", p.ID))
			}
		}
		if len(c.Rules) > 0 {
			out = append(out, w.T("pack_lines", "n", len(c.Rules)))
		}
		if len(out) == 0 {
			a.reply(tx, w.T("rules_none"))
			return false, nil
		}
		out = append([]string{w.T("rules_head")}, out...)
		out = append(out, w.T("rules_foot", "mm", float64(cmp.Or(r.Near, rules.Near))/1000))
		a.reply(tx, strings.Join(out, "\n"))
		return false, nil
	})
}

// packSent says whether a file without a caption is one of rules: nothing else that is sent here is YAML.
func (a *ask) packSent() bool {
	return a.r.File != nil && strings.TrimSpace(a.r.Text) == "" && slices.Contains([]string{".yaml", ".yml"}, strings.ToLower(path.Ext(a.r.File.Name)))
}

// takePack takes the file that came along. What is refused changes nothing.
func (a *ask) takePack() error {
	data, ok, err := a.fetch()
	if err != nil || !ok {
		return err
	}
	p, err := rules.Load(data)
	return a.onRules(func(tx *session.Tx, c session.Crew, w wording.Words, r *session.Rules) (bool, error) {
		var refused *rules.Refused
		if errors.As(err, &refused) {
			a.reply(tx, w.PackRefused(refused))
			return false, nil
		}
		held := session.Pack{ID: p.ID, Name: wording.Clean(path.Base(a.r.File.Name), 60), File: string(data), By: a.name(), At: tx.Now()}
		replaced := r.PutPack(held)
		if len(r.Packs) > mostPacks || r.Bytes() > mostPackBytes {
			a.reply(tx, w.T("packs_full", "most", mostPacks, "kb", mostPackBytes>>10))
			return false, nil
		}
		i := slices.IndexFunc(r.Packs, func(x session.Pack) bool { return x.ID == p.ID })
		if _, known := p.AreaNamed(r.Packs[i].Area); !known && r.Packs[i].Area != rules.Elsewhere {
			r.Packs[i].Area = "" // the new file has it no more
		}
		head := w.T("pack_taken")
		if replaced {
			head = w.T("pack_replaced")
		}
		a.reply(tx, head+" "+w.Pack(p, r.Packs[i].Area, c.Area, tx.Now()))
		return true, nil
	})
}

// rulesArea is /rules area NAME: in which of the packs' areas the crew fishes.
func (a *ask) rulesArea(said string) error {
	return a.onRules(func(tx *session.Tx, c session.Crew, w wording.Words, r *session.Rules) (bool, error) {
		var all []string
		changed := false
		r.Packs = slices.Clone(r.Packs)
		for i, p := range r.Packs {
			x, err := rules.Load([]byte(p.File))
			if err != nil || len(x.Areas) == 0 {
				continue
			}
			all = append(all, wording.AreaNames(x))
			if strings.EqualFold(said, "elsewhere") {
				r.Packs[i].Area, changed = rules.Elsewhere, true
			} else if area, ok := x.AreaNamed(said); ok && said != "" {
				r.Packs[i].Area, changed = area.ID, true
				said = area.Name
			}
		}
		switch {
		case changed:
			a.reply(tx, w.RulesArea(wording.Clean(said, 60)))
		case len(all) == 0:
			a.reply(tx, w.T("rules_no_areas"))
		default:
			a.reply(tx, w.T("rules_area_unknown", "said", wording.Clean(said, 40), "areas", wording.Clean(strings.Join(all, "; "), 600)))
		}
		return changed, nil
	})
}

// bag is /bag: how full the bags are, of who asks first, and of the others of their day.
func (a *ask) bag() error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		me := catch.Entry{At: a.at(), Who: a.name(), WhoID: a.r.From.ID}
		b, cs, unread, err := a.ruleBook(tx, c)
		if err != nil {
			return err
		}
		if unread {
			a.reply(tx, w.T("rules_cannot_be_read")+" "+w.T("doubt_is_no"))
			return nil
		}
		// What was caught yesterday may count in the hours of today, and what it is says how far its bags reach back.
		day := me.At.In(zone(c.Zone))
		from, to := day.AddDate(0, 0, -2).Format(time.DateOnly), day.Format(time.DateOnly)
		lately, err := tx.LoadDays(from, to)
		if err != nil {
			return err
		}
		var today catch.Day
		kinds := map[string]bool{}
		for _, d := range lately {
			if d.Date == to {
				today = d
			}
			for _, e := range d.Entries {
				if kinds[e.Species] {
					continue
				}
				kinds[e.Species] = true
				e.At = me.At
				if first, _ := b.Back(cs, e); first < from {
					from = first
				}
			}
		}
		if cs.Days, err = tx.LoadDays(from, to); err != nil {
			return err
		}
		cs.Now = a.at()
		type one struct {
			name string
			id   int64
		}
		people := []one{{me.Who, me.WhoID}}
		for _, e := range today.Entries {
			p := one{e.Who, e.WhoID}
			if !slices.ContainsFunc(people, func(x one) bool { return x.id == p.id && (x.id != 0 || strings.EqualFold(x.name, p.name)) }) {
				people = append(people, p)
			}
		}
		out := []string{}
		left := 0
		for _, p := range people {
			for _, n := range b.Bags(cs, p.name, p.id) {
				if len(out) < mostBagLines {
					out = append(out, w.BagLine(n, p.name, cs.Now))
				} else {
					left++
				}
			}
		}
		if len(out) == 0 {
			a.reply(tx, w.T("bag_empty"))
			return nil
		}
		out = append([]string{w.T("bag_head", "day", w.Day(a.r.At), "at", w.Clock(a.r.At))}, out...)
		if left > 0 {
			out = append(out, w.T("bag_more", "n", left))
		}
		out = append(out, w.T("bag_foot"))
		a.reply(tx, strings.Join(out, "\n"))
		return nil
	})
}

// mostBagLines bounds the list; the fullest bags come first.
const mostBagLines = 12

// freezer is /freezer 4 bream: what somebody has at home, which a possession limit counts.
func (a *ask) freezer(args string) error {
	return a.onRules(func(tx *session.Tx, c session.Crew, w wording.Words, r *session.Rules) (bool, error) {
		if strings.TrimSpace(args) == "" {
			var out []string
			for _, h := range r.Home {
				if h.Who == a.r.From.ID && tx.Now().Sub(h.At) <= rules.StockLasts {
					out = append(out, w.T("freezer_line", "n", h.N, "fish", h.Named, "day", w.Day(h.At)))
				}
			}
			if len(out) == 0 {
				out = []string{w.T("freezer_empty")}
			}
			a.reply(tx, strings.Join(out, "\n"))
			return false, nil
		}
		n, named, ok := command.Freezer(args)
		if !ok || a.r.From.ID == 0 {
			a.reply(tx, w.T("freezer_unread", "said", wording.Clean(args, 40)))
			return false, nil
		}
		f := session.Freezer{Who: a.r.From.ID, Name: a.name(), Species: strings.ToLower(named), Named: wording.Clean(named, 40), N: n, At: tx.Now()}
		found := names.Find(named, c.Area)
		if id, ok := c.FishNames[names.Fold(named)]; ok {
			f.Species = id
		} else if len(found) == 1 {
			f.Species = found[0].ID
		} else if len(found) > 1 {
			var choices []string
			for _, s := range found {
				choices = append(choices, s.Canonical)
			}
			a.reply(tx, w.T("catch_which", "said", wording.Clean(named, 40), "choices", w.Names(choices)))
			return false, nil
		}
		r.Freeze(f, rules.StockLasts)
		if len(r.Home) > mostHome {
			a.reply(tx, w.T("freezer_full", "most", mostHome))
			return false, nil
		}
		a.reply(tx, w.T("freezer_noted", "who", f.Name, "n", n, "fish", f.Named, "days", int(rules.StockLasts/(24*time.Hour))))
		return true, nil
	})
}

// mostHome bounds what a crew's people say of their freezers.
const mostHome = 200
