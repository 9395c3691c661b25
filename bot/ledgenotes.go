package bot

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
)

// What a crew writes down about a ledge beside its numbers: other names, notes, a photo; and the card as it is shown.

// mostLedgeNote bounds a note, in characters.
const mostLedgeNote = 300

// pendingPhoto is the question for a photo of a ledge.
const pendingPhoto = "photo"

// ledgeCalled finds the ledge that a line begins with, the longest name first; rest is what follows.
func ledgeCalled(c session.Crew, line string) (l session.Ledge, rest string, ok bool) {
	words := strings.Fields(line)
	for n := min(len(words), 8); n > 0; n-- {
		said := strings.Join(words[:n], " ")
		for _, x := range c.Ledges {
			if slices.ContainsFunc(append([]string{x.Name}, x.Aliases...), func(s string) bool { return strings.EqualFold(s, said) }) {
				return x, strings.Join(words[n:], " "), true
			}
		}
	}
	if len(words) > 0 { // the beginning of one name alone
		if l, ok := c.LedgeNamed(words[0]); ok {
			return l, strings.Join(words[1:], " "), true
		}
	}
	return session.Ledge{}, line, false
}

// noLedge says which ledges there are.
func (a *ask) noLedge(tx *session.Tx, c session.Crew, w wording.Words, said string) error {
	if len(c.Ledges) == 0 {
		a.reply(tx, w.T("no_ledges"))
		return nil
	}
	a.reply(tx, w.T("ledge_unknown", "said", wording.Clean(said, 40), "ledges", w.Names(ledgeNames(c))))
	return nil
}

// aliasLedge is /ledge alias Anvil = the anvil, big flat; "-" takes all of them away.
func (a *ask) aliasLedge(rest string) error {
	name, list, ok := strings.Cut(rest, "=")
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, found := c.LedgeNamed(name)
		if !found {
			return a.noLedge(tx, c, w, name)
		}
		if list = strings.TrimSpace(list); !ok || list == "" {
			a.reply(tx, w.T("alias_how", "name", l.Name, "names", w.Names(l.Aliases)))
			return nil
		}
		aliases := []string{}
		if list != "-" {
			aliases = slices.Clone(l.Aliases)
			for _, s := range strings.FieldsFunc(list, func(r rune) bool { return r == ',' || r == ';' }) {
				s = strings.Join(strings.Fields(wording.Clean(s, 200)), " ")
				if s == "" || strings.EqualFold(s, l.Name) || slices.ContainsFunc(aliases, func(x string) bool { return strings.EqualFold(x, s) }) {
					continue
				}
				if why := notAName(c, l, s); why != "" {
					a.reply(tx, w.T("alias_not_"+why, "said", wording.Clean(s, command.MaxName), "most", command.MaxName))
					return nil
				}
				aliases = append(aliases, s)
			}
		}
		if len(aliases) > mostAliases {
			a.reply(tx, w.T("alias_full", "n", mostAliases, "name", l.Name))
			return nil
		}
		l.Aliases = aliases
		c.PutLedge(l)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		if len(aliases) == 0 {
			a.reply(tx, w.T("alias_none", "name", l.Name))
			return nil
		}
		a.reply(tx, w.T("alias_set", "name", l.Name, "names", w.Names(aliases)))
		return nil
	})
}

// lineWords are words of a line about going out that no name may be made of alone: the line would lose them.
var lineWords = slices.Concat(timeWords, spanishTimeWords, command.LedgeKeywords, []string{"with", "con", "all", "off", "out", "plan", "b", "new", "add", "mar", "y", "and", "a", "la", "las", "el", "los", "the", "de"})

// notAName says in a word why something cannot be another name of a ledge; "" when it can.
func notAName(c session.Crew, l session.Ledge, s string) string {
	words := strings.Fields(strings.ToLower(s))
	plain := slices.ContainsFunc(words, func(x string) bool {
		return !slices.Contains(lineWords, strings.Trim(x, ".,;:!?")) && strings.Trim(x, "0123456789.:,-+/") != ""
	})
	taken := slices.ContainsFunc(c.Ledges, func(x session.Ledge) bool {
		return !strings.EqualFold(x.Name, l.Name) && slices.ContainsFunc(append([]string{x.Name}, x.Aliases...), func(n string) bool { return strings.EqualFold(n, s) })
	})
	switch {
	case utf8.RuneCountInString(s) > command.MaxName:
		return "long"
	case taken:
		return "taken"
	case !plain || utf8.RuneCountInString(s) < 2:
		return "word"
	}
	return ""
}

// noteLedge is /ledge note Anvil land fish at the gutter; without words it lists the notes.
func (a *ask) noteLedge(rest string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, text, ok := ledgeCalled(c, rest)
		if !ok {
			return a.noLedge(tx, c, w, rest)
		}
		w = inZoneOf(w, l)
		if text = wording.Clean(strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(text), "=")), mostLedgeNote); text == "" {
			if lines := notesOf(w, l, session.MostNotes); lines != "" {
				a.reply(tx, w.T("notes_head", "name", l.Name)+"\n"+cutLines(lines, chat.MaxText/2))
			} else {
				a.reply(tx, w.T("notes_none", "name", l.Name))
			}
			return nil
		}
		n := session.LedgeNote{ID: recordID(a.cause.ID), At: a.at(), By: a.r.From.ID, Name: a.name(), Text: text}
		over, _ := c.AddNote(l.Name, n)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		said := w.T("lnote_kept", "name", l.Name) + "\n" + noteLine(w, n)
		if over {
			said += "\n" + w.T("lnote_over", "n", session.MostNotes)
		}
		a.post(tx, "", session.Slow, chat.Message{
			To: a.r.Place.ID, Thread: a.r.Place.Thread, Panel: "note/" + n.ID, Text: said,
			Buttons: [][]chat.Button{{button(w.T("b_undo"), actNoteUndo, ref(tx.Crew, n.ID), "")}},
		})
		return nil
	})
}

// unnote is /ledge unnote Anvil 2: the note of that number in the list, by whoever wrote it.
func (a *ask) unnote(rest string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, number, ok := ledgeCalled(c, rest)
		if !ok {
			return a.noLedge(tx, c, w, rest)
		}
		i, err := strconv.Atoi(strings.TrimSpace(number))
		if err != nil || i < 1 || i > len(l.Notes) {
			a.reply(tx, w.T("lnote_which", "name", l.Name, "n", len(l.Notes)))
			return nil
		}
		n := l.Notes[len(l.Notes)-i] // the newest is the first
		if _, ok := c.DropNote(n.ID, a.r.From.ID); !ok {
			a.reply(tx, w.T("lnote_others", "who", n.Name))
			return nil
		}
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.reply(tx, w.T("lnote_gone", "name", l.Name))
		return nil
	})
}

// takeBackNote is a tap under a note, by whoever wrote it.
func (a *ask) takeBackNote(crew session.CrewID, id string) error {
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		ledge, ok := c.DropNote(id, a.r.From.ID)
		if !ok {
			return a.problem(tx, w, wording.ErrNothingToUndo)
		}
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.post(tx, "", session.Slow, chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, Panel: "note/" + id, Text: w.T("lnote_gone", "name", ledge)})
		return nil
	})
}

// notesOf lists a ledge's notes, the newest first, numbered as unnote counts them.
func notesOf(w wording.Words, l session.Ledge, most int) string {
	var out []string
	for _, n := range slices.Backward(l.Notes) {
		if len(out) == most {
			break
		}
		out = append(out, w.T("lnote_numbered", "i", len(out)+1, "note", wording.HTML(noteLine(w, n))))
	}
	return strings.Join(out, "\n")
}

func noteLine(w wording.Words, n session.LedgeNote) string {
	return w.T("lnote_line", "text", n.Text, "who", n.Name, "day", w.Date(n.At))
}

// cutLines leaves lines out at the end until what remains is at most so many characters.
func cutLines(s string, most int) string {
	for utf8.RuneCountInString(s) > most {
		i := strings.LastIndexByte(s, '\n')
		if i < 0 {
			break
		}
		s = s[:i]
	}
	return s
}

func inZoneOf(w wording.Words, l session.Ledge) wording.Words {
	if card, err := cardOf(l); err == nil && card.Zone != "" {
		return w.In(card.Zone)
	}
	return w
}

// photoLedge is a photo with "/ledge photo Anvil" under it; without one it is asked for. "- " before the name takes it away.
func (a *ask) photoLedge(rest string) error {
	off := false
	if r, found := strings.CutPrefix(strings.TrimSpace(rest), "-"); found {
		rest, off = r, true
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, _, ok := ledgeCalled(c, rest)
		if !ok && strings.TrimSpace(rest) == "" && len(c.Ledges) == 1 {
			l, ok = c.Ledges[0], true
		}
		switch {
		case !ok:
			return a.noLedge(tx, c, w, rest)
		case off:
			return a.dropPhoto(tx, c, w, l)
		case a.r.Photo == "":
			c.Ask(session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: pendingPhoto, Args: map[string]string{"ledge": l.Name}, At: tx.Now()})
			if err := tx.PutCrew(c); err != nil {
				return err
			}
			a.question(tx, w.T("photo_ask", "name", l.Name), w.T("hint_photo"))
			return nil
		}
		return a.keepPhoto(tx, c, w, l)
	})
}

func (a *ask) keepPhoto(tx *session.Tx, c session.Crew, w wording.Words, l session.Ledge) error {
	c.Answered(a.r.From.ID, a.r.Place.ID)
	l.Photo = &session.LedgePhoto{Ref: a.r.Photo, At: a.at(), By: a.r.From.ID, Name: a.name()}
	c.PutLedge(l)
	if err := tx.PutCrew(c); err != nil {
		return err
	}
	a.reply(tx, w.T("photo_kept", "name", l.Name))
	return nil
}

func (a *ask) dropPhoto(tx *session.Tx, c session.Crew, w wording.Words, l session.Ledge) error {
	for i := range c.Ledges {
		if c.Ledges[i].Name == l.Name {
			c.Ledges = slices.Clone(c.Ledges)
			c.Ledges[i].Photo = nil
		}
	}
	if err := tx.PutCrew(c); err != nil {
		return err
	}
	a.reply(tx, w.T("photo_gone", "name", l.Name))
	return nil
}

// photoAnswered takes a photo as the answer to the question for one.
func (a *ask) photoAnswered(q session.Pending) error {
	if ok, err := a.mayEdit(false); !ok || err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, ok := c.LedgeNamed(q.Args["ledge"])
		if !ok {
			return nil
		}
		return a.keepPhoto(tx, c, w, l)
	})
}

// showLedge is /ledge NAME: what nearly went wrong there first, then the card, what it lacks, and what the crew wrote down.
func (a *ask) showLedge(tx *session.Tx, c session.Crew, w wording.Words, l session.Ledge) error {
	card, err := cardOf(l)
	if err != nil {
		return err
	}
	line, err := ledgeLine(w, l, tx.Now())
	if err != nil {
		return err
	}
	w = inZoneOf(w, l)
	var more []string
	if len(l.Aliases) > 0 {
		more = append(more, w.T("card_aliases", "names", w.Names(l.Aliases)))
	}
	if l.From != "" {
		more = append(more, w.T("card_from", "who", l.From))
	}
	if lim := card.Limits; lim.Hs != nil || lim.Gust != nil || lim.Period != nil || lim.WashChance != nil {
		more = append(more, w.T("card_limits", "limits", wording.HTML(w.Limits(lim)), "who", cmp.Or(lim.SetBy, w.T("somebody")), "day", w.Date(lim.SetAt)))
	}
	place := []string{numberLine(w, c, card), ringLine(w, card)}
	more = append(more, strings.Join(slices.DeleteFunc(place, func(s string) bool { return s == "" }), " "))
	if lacks := cardLacks(w, card, numberOf(c, card)); len(lacks) > 0 {
		more = append(more, w.T("card_lacks", "what", w.Names(lacks), "name", l.Name))
	}
	if notes := notesOf(w, l, mostNotesShown); notes != "" {
		if n := len(l.Notes) - mostNotesShown; n > 0 {
			notes += "\n" + w.T("notes_more", "n", n, "name", l.Name)
		}
		more = append(more, notes)
	}
	text := lined(a.nearOf(w, l, tx.Now(), session.MostNear), line, lined(more...))
	if l.Photo == nil {
		a.reply(tx, text)
		return nil
	}
	// The photo with its own few words, and the card after it: a caption is short, and the card must not hang on a picture.
	a.post(tx, "", session.Slow, chat.Message{
		To: a.r.Place.ID, Thread: a.r.Place.Thread, Quiet: true, Picture: &chat.Picture{Ref: l.Photo.Ref, Name: "ledge.jpg", Alt: wording.Plain(w.T("photo_of", "name", l.Name, "who", l.Photo.Name, "day", w.Date(l.Photo.At)))},
		Text: w.T("photo_of", "name", l.Name, "who", l.Photo.Name, "day", w.Date(l.Photo.At)),
	})
	a.reply(tx, text)
	return nil
}

// mostNotesShown is how many notes stand on a card.
const mostNotesShown = 3

// numberLine is whom to call there: by the card, or by the crew's own setting, which is then said.
func numberLine(w wording.Words, c session.Crew, card ledge.Card) string {
	switch own := c.Number.For(countryOf(card)); {
	case card.Emergency.Number != "":
		return w.T("card_number", "number", card.Emergency.Number)
	case own != "":
		return w.T("card_number_crew", "number", own, "source", orDash(c.Number.Source), "day", w.Date(c.Number.At))
	}
	return ""
}

func ringLine(w wording.Words, card ledge.Card) string {
	switch r := card.RescueRing; {
	case r == nil:
		return ""
	case !r.Gone.IsZero():
		return w.T("card_ring_gone", "where", r.Where, "day", w.Date(r.Gone))
	default:
		return w.T("card_ring", "where", r.Where, "day", w.Date(r.LastSeen))
	}
}

// cardLacks names what a card does not say, what the numbers or rescuers need first.
func cardLacks(w wording.Words, card ledge.Card, number string) (out []string) {
	for _, x := range []struct {
		lacks bool
		id    string
	}{
		{card.Exact == nil, "gap_at"}, {card.Faces == nil, "gap_faces"}, {card.LipHeight == nil, "gap_lip"},
		{card.FootDepth == nil || card.FaceSlope == nil, "gap_foot"}, {number == "", "gap_number"},
		{card.Access == "", "gap_access"}, {len(card.WaysOut) == 0, "gap_waysout"}, {card.RescueRing == nil, "gap_ring"},
	} {
		if x.lacks {
			out = append(out, w.T(x.id))
		}
	}
	return out
}

// numberOf is whom to call at a ledge.
func numberOf(c session.Crew, card ledge.Card) string {
	return cmp.Or(card.Emergency.Number, c.Number.For(countryOf(card)))
}

// ringOld is how long a rescue ring that was seen is taken to hang there still; common practice, no source.
const ringOld = 182 * 24 * time.Hour

// ringAsked says whether those who come back from a ledge are asked for its ring.
func ringAsked(card ledge.Card, now time.Time) bool {
	r := card.RescueRing
	return r != nil && r.Gone.IsZero() && now.Sub(r.LastSeen) >= ringOld
}
