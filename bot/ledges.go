package bot

import (
	"encoding/json"
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
	"ledgehand/session"
)

// Ledges: from a sent location, a place name or a line typed in one go, to a card the numbers can use.

// ledgeEdits are the verbs of /ledge that change what the crew goes by; where a crew says so they are for its administrators. A note is
// everybody's, and is signed.
var ledgeEdits = []string{"add", "new", "name", "limits", "station", "timezone", "access", "waysout", "parking", "ring", "askfor", "landfish", "alias", "aliases", "photo", "import", "share"}

// ledge is /ledge: alone the list, NAME, "add ...", "name OLD = NEW", "limits NAME ...", "station NAME = PLACE", "timezone NAME = AREA/CITY",
// "alias NAME = OTHER, …", "note NAME words", "photo NAME", "import", "export", "share NAME".
func (a *ask) ledge(args string) error {
	verb, rest, _ := strings.Cut(strings.TrimSpace(args), " ")
	verb = strings.ToLower(verb)
	if slices.Contains(ledgeEdits, verb) {
		if ok, err := a.mayEdit(false); !ok || err != nil {
			return err
		}
	}
	switch verb {
	case "":
		return a.listLedges()
	case "alias", "aliases":
		return a.aliasLedge(rest)
	case "note", "notes":
		return a.noteLedge(rest)
	case "unnote":
		return a.unnote(rest)
	case "photo":
		return a.photoLedge(rest)
	case "import":
		return a.importLedges()
	case "export":
		return a.exportLedges(rest)
	case "share":
		return a.shareLedge(rest)
	case "add", "new":
		return a.addLedge(rest)
	case "name":
		return a.renameLedge(rest)
	case "limits":
		return a.limitLedge(rest)
	case "station":
		return a.ledgeStation(rest)
	case "timezone":
		return a.ledgeZone(rest)
	case "access", "waysout", "parking", "ring", "askfor", "landfish":
		return a.ledgeSaid(verb, rest)
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, ok := c.LedgeNamed(args)
		if !ok {
			return a.noLedge(tx, c, w, args)
		}
		return a.showLedge(tx, c, w, l)
	})
}

func (a *ask) listLedges() error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if len(c.Ledges) == 0 {
			a.reply(tx, w.T("no_ledges"))
			return nil
		}
		var out []string
		for _, l := range c.Ledges {
			line, err := ledgeLine(w, l, tx.Now())
			if err != nil {
				return err
			}
			out = append(out, line)
		}
		a.reply(tx, strings.Join(out, "\n"))
		return nil
	})
}

// ledgeLine is a ledge in one line, with what watches and reports taught.
func ledgeLine(w wording.Words, l session.Ledge, now time.Time) (string, error) {
	card, err := cardOf(l)
	if err != nil {
		return "", err
	}
	dir, station := "–", card.TideStation
	if card.Faces != nil {
		dir = w.Compass(float64(*card.Faces))
	}
	if st, err := tide.Find(card.TideStation); err == nil {
		station = st.Name
	}
	return w.T("ledge_list", "name", l.Name, "lip", lipWords(w, card), "dir", dir, "station", station, "learned", wording.HTML(w.Learned(conditions.Taught(card, observations(l), now)))), nil
}

// lipWords is the height of a card's lip, or that nobody measured it.
func lipWords(w wording.Words, card ledge.Card) string {
	if card.LipHeight == nil {
		return w.T("lip_unmeasured")
	}
	return w.Height(float64(*card.LipHeight))
}

func (a *ask) addLedge(line string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		f, err := command.LedgeCard(line)
		if err != nil {
			said := line
			var un *command.Unread
			if errors.As(err, &un) && un.Said != "" {
				said = un.Said
			}
			a.reply(tx, w.T("ledge_unread", "said", wording.Clean(said, 40), "known", strings.Join(command.LedgeKeywords, ", "), "example", "/ledge add "+command.LedgeExample))
			return nil
		}
		f.Name = wording.Clean(f.Name, command.MaxName)
		card := ledge.Card{Name: f.Name}
		if old, ok := c.LedgeNamed(f.Name); !ok || !strings.EqualFold(old.Name, f.Name) {
			if len(c.Ledges) >= mostLedges {
				a.reply(tx, w.T("ledges_full", "n", mostLedges))
				return nil
			}
		} else {
			if card, err = cardOf(old); err != nil { // "add" of a known one changes what is given
				return err
			}
		}
		card, err = revise(card, f, tx.Now())
		switch {
		case card.Exact == nil:
			a.reply(tx, w.T("ledge_needs_place", "name", f.Name, "example", "/ledge add "+command.LedgeExample))
			return nil
		case err == nil && card.Faces == nil:
			return a.askRest(tx, c, w, card, line)
		case err != nil:
			a.cardRefused(tx, w, err, "/ledge add "+strings.TrimSpace(line))
			return nil
		}
		led, err := a.ledgeOf(card)
		if err != nil {
			return err
		}
		c.PutLedge(led)
		settle(&c, card)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		return a.ledgeNoted(tx, w, led.Name, card)
	})
}

// ledgeNoted says back what a card holds, and what speaks against its tide.
func (a *ask) ledgeNoted(tx *session.Tx, w wording.Words, name string, card ledge.Card) error {
	st, err := tide.Find(card.TideStation)
	if err != nil {
		return err
	}
	text := w.T("ledge_noted", "name", name, "lip", lipWords(w, card), "datum", card.Datum, "dir", w.Compass(float64(*card.Faces)), "station", st.Name,
		"km", w.Km(measure.DistanceKm(*card.Exact, st.Position)), "clock", zoneWords(w, card.Zone, tx.Now()))
	if doubts := w.TideDoubts(tide.DoubtsOf(*card.Exact, card.TideStation)); doubts != "" {
		text += "\n" + doubts + " " + w.T("ledge_other_station", "name", name)
	}
	if odd := oddHeights(w, card); odd != "" {
		text += "\n" + odd
	}
	a.reply(tx, text)
	return nil
}

// oddHeights says which heights of a card contradict each other or the tide: noted all the same, for there are such ledges.
func oddHeights(w wording.Words, card ledge.Card) string {
	var out []string
	if lip := card.LipHeight; lip != nil {
		for _, name := range []string{"MHW", "HAT"} { // the worse one is enough
			i := slices.IndexFunc(tide.Levels(card.TideStation), func(l tide.Level) bool { return l.Datum == name })
			if i < 0 {
				continue
			}
			if h := tide.Levels(card.TideStation)[i].Height; *lip < h {
				id := "lip_under_hat"
				if name == "MHW" {
					id = "lip_under_mhw"
				}
				out = append(out, w.T(id, "lip", w.Height(float64(*lip)), "h", w.Height(float64(h)), "datum", card.Datum))
				break
			}
		}
		if g := card.WalkInGate; g != nil && *g > *lip {
			out = append(out, w.T("gate_over_lip", "gate", w.Height(float64(*g)), "lip", w.Height(float64(*lip))))
		}
	}
	return strings.Join(out, " ")
}

// zoneWords is what clocks show in a zone, and its name.
func zoneWords(w wording.Words, name string, now time.Time) string {
	return w.T("zone_clock", "at", w.In(name).Clock(now), "zone", name)
}

// cardRefused says why a card cannot be, and what to type instead. line is what was typed; nothing of it is lost.
func (a *ask) cardRefused(tx *session.Tx, w wording.Words, err error, line string) {
	var which *whichZone
	var level *whichLevel
	var datum tide.NoDatumError
	switch {
	case errors.As(err, &which):
		var out []string
		for _, z := range which.zones[:min(4, len(which.zones))] {
			out = append(out, w.T("ledge_zone_line", "clock", zoneWords(w, z, tx.Now()), "line", line+" timezone "+z))
		}
		a.reply(tx, w.T("ledge_zone")+"\n"+strings.Join(out, "\n"))
	case errors.As(err, &level):
		a.reply(tx, w.T("ledge_levels", "station", level.station, "datum", level.datum))
	case errors.As(err, &datum):
		a.reply(tx, w.T("ledge_datum", "datum", datum.Datum, "known", strings.Join(datum.Known, ", ")))
	case errors.Is(err, errNoStation):
		a.reply(tx, w.T("place_no_station"))
	default:
		a.reply(tx, w.T("ledge_refused", "why", cardFault(err)))
	}
}

// onLedge reads "NAME = VALUE" and works on that ledge's card, or says which ledges there are.
func (a *ask) onLedge(rest string, work func(tx *session.Tx, c session.Crew, w wording.Words, l session.Ledge, card ledge.Card, value string) error) error {
	name, value, ok := strings.Cut(rest, "=")
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, found := c.LedgeNamed(name)
		if !ok || !found {
			a.reply(tx, w.T("ledge_unknown", "said", wording.Clean(name, 40), "ledges", w.Names(ledgeNames(c))))
			return nil
		}
		card, err := cardOf(l)
		if err != nil {
			return err
		}
		return work(tx, c, w, l, card, strings.TrimSpace(value))
	})
}

// ledgeStation is /ledge station NAME = PLACE: another tide station, by name or id.
func (a *ask) ledgeStation(rest string) error {
	return a.onLedge(rest, func(tx *session.Tx, c session.Crew, w wording.Words, l session.Ledge, old ledge.Card, place string) error {
		byID, err := tide.Find(place)
		stations := []tide.Station{byID}
		if err != nil {
			stations = tide.Named(place, 5)
		}
		if len(stations) == 0 {
			a.reply(tx, w.T("tide_no_place", "said", wording.Clean(place, 40)))
			return nil
		}
		// Names are shared: the first that the heights of the card can be levelled over to is meant.
		var refused error
		for _, st := range stations {
			card, err := old, error(nil)
			if card.TideStation != st.ID {
				card, err = rebased(card, st.ID, command.LedgeFields{})
			}
			if err == nil {
				card.Datum, err = st.Datum, card.Check()
			}
			if err == nil {
				return a.putCard(tx, c, w, l, card)
			}
			if refused == nil {
				refused = err
			}
		}
		a.cardRefused(tx, w, refused, "")
		return nil
	})
}

// ledgeZone is /ledge timezone NAME = Area/City.
func (a *ask) ledgeZone(rest string) error {
	return a.onLedge(rest, func(tx *session.Tx, c session.Crew, w wording.Words, l session.Ledge, card ledge.Card, z string) error {
		if _, err := time.LoadLocation(z); err != nil || z == "" || strings.EqualFold(z, "local") {
			a.reply(tx, w.T("zone_unknown", "said", wording.Clean(z, 40), "example", "/ledge timezone "+l.Name+" ="))
			return nil
		}
		card.Zone = z
		return a.putCard(tx, c, w, l, card)
	})
}

// putCard stores a changed card under its ledge's name and says it back.
func (a *ask) putCard(tx *session.Tx, c session.Crew, w wording.Words, l session.Ledge, card ledge.Card) error {
	next, err := a.ledgeOf(card)
	if err != nil {
		return err
	}
	c.PutLedge(next)
	if err := tx.PutCrew(c); err != nil {
		return err
	}
	if card.Exact == nil || card.Faces == nil {
		a.reply(tx, w.T("ledge_zone_noted", "name", l.Name, "clock", zoneWords(w, card.Zone, tx.Now())))
		return nil
	}
	return a.ledgeNoted(tx, w, l.Name, card)
}

// cardFault says in the words of the card what is wrong with it; a card error holds no position.
func cardFault(err error) string {
	var fe *ledge.FieldError
	if errors.As(err, &fe) {
		return fe.Error()
	}
	return "unknown tide station"
}

func (a *ask) renameLedge(rest string) error {
	old, name, ok := strings.Cut(rest, "=")
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, found := c.LedgeNamed(old)
		name := wording.Clean(name, 40)
		if _, taken := c.LedgeNamed(name); !ok || !found || name == "" || taken && !strings.EqualFold(l.Name, name) {
			a.reply(tx, w.T("ledge_unknown", "said", wording.Clean(old, 40), "ledges", w.Names(ledgeNames(c))))
			return nil
		}
		card, err := cardOf(l)
		if err != nil {
			return err
		}
		card.Name = name
		next, err := a.ledgeOf(card)
		if err != nil {
			return err
		}
		next.Observed, next.Near, next.Aliases = l.Observed, l.Near, l.Aliases
		next.Notes, next.Photo, next.From = l.Notes, l.Photo, l.From
		for i := range c.Ledges {
			if c.Ledges[i].Name == l.Name {
				c.Ledges[i] = next
			}
		}
		// What is under way goes by the old name, which therefore stays known.
		for i := range c.Ledges {
			if c.Ledges[i].Name == name && !strings.EqualFold(l.Name, name) {
				aliases := append(c.Ledges[i].Aliases, l.Name)
				c.Ledges[i].Aliases = aliases[max(0, len(aliases)-mostAliases):]
			}
		}
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.reply(tx, w.T("ledge_renamed", "old", l.Name, "name", name))
		return nil
	})
}

// limitLedge sets the crew's own limits of a ledge: facts to be compared with, never advice of ours.
func (a *ask) limitLedge(rest string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, line, found := c.LedgeIn(rest)
		if !found {
			a.reply(tx, w.T("limits_unread"))
			return nil
		}
		card, err := cardOf(l)
		if err != nil {
			return err
		}
		words := strings.Fields(strings.ToLower(line))
		lim := card.Limits
		for i := 0; i+1 < len(words); i += 2 {
			v, err := strconv.ParseFloat(strings.TrimRight(words[i+1], "ms%/"), 64)
			if err != nil {
				a.reply(tx, w.T("limits_unread"))
				return nil
			}
			switch words[i] {
			case "swell":
				m := measure.Metres(w.Metres(v))
				lim.Hs = &m
			case "gust", "gusts":
				m := measure.MetresPerSecond(w.MetresPerSecond(v))
				lim.Gust = &m
			case "period":
				m := measure.Seconds(v)
				lim.Period = &m
			case "wash":
				p := v / 100
				lim.WashChance = &p
			default:
				a.reply(tx, w.T("limits_unread"))
				return nil
			}
		}
		lim.SetBy, lim.SetAt = a.name(), tx.Now()
		card.Limits = lim
		if err := card.Check(); err != nil {
			a.reply(tx, w.T("ledge_refused", "why", cardFault(err)))
			return nil
		}
		next, err := a.ledgeOf(card)
		if err != nil {
			return err
		}
		c.PutLedge(next)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.reply(tx, w.T("ledge_limits", "name", l.Name, "limits", wording.HTML(w.Limits(lim))))
		return nil
	})
}

func jsonInto(body []byte, v any) error { return json.Unmarshal(body, v) }
