package bot

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/tide"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// Crew settings by buttons, and what people say of themselves.

func (a *ask) settings(args string) error {
	if key, value, _ := strings.Cut(strings.TrimSpace(args), " "); value != "" {
		if done, err := a.crewSet(key, value); done || err != nil {
			return err
		}
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		key, value, _ := strings.Cut(strings.TrimSpace(args), " ")
		if strings.EqualFold(key, "zone") && value != "" {
			if _, err := time.LoadLocation(strings.TrimSpace(value)); err != nil || strings.EqualFold(value, "local") {
				a.reply(tx, w.T("zone_unknown", "said", wording.Clean(value, 40), "example", "/settings zone"))
				return nil
			}
			c.Zone = strings.TrimSpace(value)
			if err := tx.PutCrew(c); err != nil {
				return err
			}
		}
		if strings.EqualFold(key, "area") && value != "" {
			c.Area = strings.ToUpper(wording.Clean(value, 10))
			if err := tx.PutCrew(c); err != nil {
				return err
			}
		}
		a.settingsPanel(tx, c)
		return nil
	})
}

func (a *ask) settingsPanel(tx *session.Tx, c session.Crew) {
	w := a.words(c)
	z := c.Zone
	if z == "" {
		z = w.T("zone_of_ledge")
	}
	mark := func(on bool, label string) string {
		if on {
			return "✓ " + label
		}
		return label
	}
	r := ref(tx.Crew, "")
	row := []chat.Button{
		button(mark(w.Units == wording.Metric, w.T("b_metric")), actUnits, r, string(wording.Metric)),
		button(mark(w.Units == wording.Imperial, w.T("b_imperial")), actUnits, r, string(wording.Imperial)),
	}
	var langs []chat.Button
	for _, l := range wording.Languages {
		langs = append(langs, button(mark(w.Lang == l, wording.For(l, w.Units, nil).T("language_name")), actLanguage, r, l))
	}
	// The zones of the crew's own ledges are what it will want; any other is typed.
	var zones [][]chat.Button
	for _, name := range ledgeZones(c) {
		zones = append(zones, []chat.Button{button(mark(c.Zone == name, name), actZone, r, name)})
	}
	lines, more := moreSettings(w, tx, c, mark)
	a.post(tx, "", session.Slow, chat.Message{
		To: a.r.Place.ID, Thread: a.r.Place.Thread, Panel: "settings", Repost: a.r.Kind == chat.KindText,
		Text:    w.T("settings", "zone", z, "area", orDash(c.Area)) + "\n" + strings.Join(lines, "\n"),
		Buttons: append(append([][]chat.Button{row, langs}, more...), zones...),
	})
}

// ledgeZones are the zones of a crew's ledges, each once, at most four.
func ledgeZones(c session.Crew) []string {
	var out []string
	for _, l := range c.Ledges {
		if card, err := cardOf(l); err == nil && card.Zone != "" && !slices.Contains(out, card.Zone) && len(out) < 4 {
			out = append(out, card.Zone)
		}
	}
	return out
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

func (a *ask) setting(act, arg string) error {
	if act == actLanguage && !a.r.Place.Group && slices.Contains(wording.Languages, arg) {
		if err := a.chooseLanguage(arg); err != nil {
			return err
		}
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		switch {
		case act == actUnits && (arg == string(wording.Metric) || arg == string(wording.Imperial)):
			c.Units = arg
		case act == actLanguage && slices.Contains(wording.Languages, arg):
			if c.Group && !a.r.Place.Group {
				break // said in private it is of the person, not of their mates
			}
			c.Language = arg
			w = a.words(c)
		case act == actZone && slices.Contains(ledgeZones(c), arg):
			c.Zone = arg
		default:
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.settingsPanel(tx, c)
		return nil
	})
}

// chooseLanguage notes what somebody wants to read in private.
func (a *ask) chooseLanguage(language string) error {
	if err := a.Session.DoPerson(a.ctx, a.cause.Then("language"), a.r.From.ID, func(tx *session.Tx) error {
		p, _, err := tx.LoadPerson(a.r.From.ID)
		if err != nil {
			return err
		}
		p.Language, p.Chosen = language, true
		return tx.PutPerson(p)
	}); err != nil {
		return err
	}
	a.reads = language
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	return a.spreadLanguage("language", p)
}

// spreadLanguage brings what somebody reads to wherever a copy of it decides how they are told: as one who holds plans, and
// on outings that are under way.
func (a *ask) spreadLanguage(step string, p session.Person) error {
	for _, h := range p.Holds {
		if err := a.doIn(h.Crew, a.cause.Then(step+"/"+string(h.Crew)), func(tx *session.Tx, c session.Crew, _ wording.Words) error {
			c.Holders = slices.Clone(c.Holders)
			changed := false
			for i := range c.Holders {
				if x := &c.Holders[i]; x.ID == p.ID && x.Language != p.Language {
					x.Language, changed = p.Language, true
				}
			}
			if !changed {
				return nil
			}
			return tx.PutCrew(c)
		}); err != nil {
			return err
		}
	}
	fs, err := a.everyOuting(a.concerns)
	if err != nil {
		return err
	}
	for _, f := range fs {
		if err := a.doIn(f.crew, a.cause.Then(step+"/"+f.o.ID), func(tx *session.Tx, _ session.Crew, _ wording.Words) error {
			o, found, err := tx.LoadOuting(f.o.ID)
			if err != nil || !found {
				return err
			}
			return tx.PutOuting(o.Reads(p.ID, p.Language))
		}); err != nil {
			return err
		}
	}
	return nil
}

// concerns says whether somebody is told of an outing: as one of the party, as who holds the plan, or as a mate.
func (a *ask) concerns(o outing.Outing) bool {
	_, in := o.Member(a.r.From.ID)
	_, holds := o.Holder(a.r.From.ID)
	return in || holds || o.Mate(a.r.From.ID)
}

// me is /me phone +00 555 0142, /me car grey van: what the hand-over sheet needs, given freely and taken back with "-".
func (a *ask) me(args string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		key, value, _ := strings.Cut(strings.TrimSpace(args), " ")
		value = wording.Clean(value, 80)
		if value == "-" {
			value = ""
		}
		c.Saw(a.r.From.ID, a.name(), tx.Now())
		i := slices.IndexFunc(c.Members, func(m session.Member) bool { return m.ID == a.r.From.ID })
		if i < 0 {
			a.reply(tx, w.T("members_full", "n", session.MostMembers))
			return nil
		}
		c.Members = slices.Clone(c.Members)
		switch strings.ToLower(key) {
		case "phone":
			c.Members[i].Phone = value
		case "car":
			c.Members[i].Car = value
		case "wearing", "wears":
			c.Members[i].Wears = value
		case "":
		default:
			a.reply(tx, w.T("me_unread", "said", wording.Clean(key, 20)))
			return nil
		}
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		m := c.Members[i]
		if a.r.Place.Group {
			// Numbers and plates are not repeated where the whole group reads.
			a.reply(tx, w.T("me_group"))
			return nil
		}
		a.reply(tx, w.T("me", "who", m.Name, "phone", orDash(m.Phone), "car", orDash(m.Car), "wears", orDash(m.Wears)))
		return nil
	})
}

// order is how a crew writes dates: month first in the United States, day first elsewhere.
func order(c session.Crew) command.DayOrder {
	if strings.HasPrefix(c.Zone, "America/") && strings.HasPrefix(c.Area, "US") {
		return command.MonthFirst
	}
	return command.DayFirst
}

// about tells what this is and whose data it rests on: all sources, and the stations of the crew's own ledges.
func (a *ask) about() error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		var stations []string
		for _, l := range c.Ledges {
			card, err := cardOf(l)
			if err != nil {
				return err
			}
			st, err := tide.Find(card.TideStation)
			if err != nil {
				continue // none, or one that is no more: the ledge's own answers say so
			}
			years := ""
			if st.FirstYear > 0 {
				years = strconv.Itoa(st.FirstYear) + "–" + strconv.Itoa(st.LastYear)
			}
			stations = append(stations, w.T("about_station", "name", l.Name, "station", st.Name, "id", st.ID, "licence", st.Licence, "years", years))
		}
		a.reply(tx, w.T("about", "credits", wording.HTML(credits()), "stations", wording.HTML(strings.Join(stations, "\n"))))
		return nil
	})
}

// credits names whose data the answers rest on.
func credits() string {
	var out []string
	for _, l := range append(tide.Credits(), feed.Credits()...) {
		out = append(out, wording.Escape(l))
	}
	return strings.Join(out, "\n")
}

// recordID is a short id for what a cause creates: the same cause always makes the same one.
func recordID(cause string) string {
	out := make([]rune, 0, 16)
	for _, r := range strings.TrimPrefix(cause, "u") {
		if r >= '0' && r <= '9' || r >= 'a' && r <= 'z' {
			out = append(out, r)
		}
		if len(out) == 16 {
			break
		}
	}
	return string(out)
}

func ledgeNames(c session.Crew) []string {
	var out []string
	for _, l := range c.Ledges {
		out = append(out, l.Name)
	}
	return out
}
