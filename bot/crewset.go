package bot

import (
	"fmt"
	"slices"
	"strings"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
)

// What a crew sets for itself beside units, zone and language: who may change ledges, whom to call, when not to make a sound.

// crewSet is /settings KEY VALUE for these; done is false when the key is none of them.
func (a *ask) crewSet(key, value string) (done bool, err error) {
	value = strings.TrimSpace(value)
	switch strings.ToLower(key) {
	case "edit", "number", "quiet":
	default:
		return false, nil
	}
	if ok, err := a.mayEdit(strings.EqualFold(key, "edit")); !ok || err != nil {
		return true, err
	}
	return true, a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		ok, why := true, ""
		switch strings.ToLower(key) {
		case "edit":
			ok = setEdit(&c, value)
			why = "edit_how"
		case "quiet":
			ok = setQuiet(&c, value)
			why = "quiet_how"
		case "number":
			var several bool
			ok, several = a.setNumber(tx, &c, value)
			why = "number_how"
			if several {
				why = "number_countries"
			}
		}
		if !ok {
			a.reply(tx, w.T(why))
			return nil
		}
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.settingsPanel(tx, c)
		return nil
	})
}

func setEdit(c *session.Crew, value string) bool {
	switch strings.ToLower(value) {
	case "admins", "admin", "admines", "administradores":
		c.Edit = session.EditAdmins
	case "all", "everybody", "everyone", "todos":
		c.Edit = ""
	default:
		return false
	}
	return true
}

func setQuiet(c *session.Crew, value string) bool {
	switch strings.ToLower(value) {
	case "off", "none", "-", "no":
		c.Quiet = nil
		return true
	}
	from, to, ok := command.QuietHours(value)
	if ok {
		c.Quiet = &session.Quiet{From: from, To: to}
	}
	return ok
}

// mostSource bounds where a number is from, in characters.
const mostSource = 60

// setNumber reads "112, from the harbour office": a number as it is dialled, and where it is from. It is the crew's word and nobody else's;
// we guess none. several says that the crew's ledges lie in several countries, so that no one number can be for all of them.
func (a *ask) setNumber(tx *session.Tx, c *session.Crew, value string) (ok, several bool) {
	if value == "-" || strings.EqualFold(value, "off") {
		c.Number = nil
		return true, false
	}
	number, source, _ := strings.Cut(value, ",")
	f, err := command.LedgeCard("x number " + strings.TrimSpace(number))
	if err != nil || f.Number == nil {
		return false, false
	}
	country, same := "", true
	for i, l := range c.Ledges {
		card, err := cardOf(l)
		if err != nil {
			continue
		}
		if of := countryOf(card); i == 0 || country == "" {
			country = of
		} else if of != "" && of != country {
			same = false
		}
	}
	if !same {
		return false, true
	}
	c.Number = &session.Number{Number: *f.Number, Source: wording.Clean(source, mostSource), By: a.name(), At: tx.Now(), Country: country}
	return true, false
}

// crewSetting is a tap in the settings on one of these.
func (a *ask) crewSetting(act, arg string) error {
	if ok, err := a.mayEdit(act == actEdit); !ok || err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		ok := false
		switch act {
		case actEdit:
			ok = setEdit(&c, arg)
		case actQuiet:
			ok = setQuiet(&c, arg)
		}
		if !ok {
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

// moreSettings are the lines and buttons of these in the settings.
func moreSettings(w wording.Words, tx *session.Tx, c session.Crew, mark func(on bool, label string) string) (lines []string, rows [][]chat.Button) {
	r := ref(tx.Crew, "")
	if n := c.Number; n == nil {
		lines = append(lines, w.T("set_number_none"))
	} else {
		lines = append(lines, w.T("set_number", "number", n.Number, "source", orDash(n.Source), "who", n.By, "day", w.Date(n.At)))
	}
	lines = append(lines, w.T("set_quiet", "hours", quietWords(w, c.Quiet)))
	if c.Group {
		rows = append(rows, []chat.Button{
			button(mark(c.Edit == "", w.T("b_edit_all")), actEdit, r, "all"),
			button(mark(c.Edit == session.EditAdmins, w.T("b_edit_admins")), actEdit, r, "admins"),
		})
	}
	var row []chat.Button
	for _, q := range []session.Quiet{{From: 22 * 60, To: 7 * 60}, {From: 21 * 60, To: 5 * 60}} {
		row = append(row, button(mark(c.Quiet != nil && *c.Quiet == q, w.T("b_quiet", "hours", quietWords(w, &q))), actQuiet, r, fmt.Sprintf("%d-%d", q.From/60, q.To/60)))
	}
	return lines, append(rows, append(row, button(mark(c.Quiet == nil, w.T("b_quiet_off")), actQuiet, r, "off")))
}

func quietWords(w wording.Words, q *session.Quiet) string {
	if q == nil {
		return w.T("quiet_none")
	}
	return fmt.Sprintf("%02d:%02d–%02d:%02d", q.From/60, q.From%60, q.To/60, q.To%60)
}

// hush takes the sound from what is not urgent, in the crew's own chat and its quiet hours. Whatever somebody's safety hangs on is urgent,
// and is never asked about here.
func hush(tx *session.Tx, lane session.Lane, m chat.Message) chat.Message {
	if lane != session.Slow || m.Quiet || m.Mail != nil || m.To >= 0 {
		return m
	}
	c, found, err := tx.LoadCrew()
	if err != nil || !found || m.To != c.Chat { // it is said, if not quietly
		return m
	}
	m.Quiet = c.Quiet.Covers(tx.Now(), zone(c.Zone))
	return m
}

// crewAsks are the commands that concern a crew as such. Those about being out find whom they mean by themselves, and are never held up.
var crewAsks = []string{"conditions", "hours", "tide", "light", "trip", "berley", "watch", "nearmiss", "catch", "fish", "rule", "rules", "bag", "freezer", "tally", "ledge", "settings", "alarm", "bring", "planb", "calloff", "in", "maybe", "cant", "undo"}

// pendingCrew is the question which crew a line is for.
const pendingCrew = "crew"

// liveCrews are the crews somebody may mean in private: the groups they are in that we are in, and their own if it has anything.
func (a *ask) liveCrews(p session.Person) (out []session.Crew, err error) {
	for _, id := range crewsOf(p) {
		c, err := a.crewRecord(id)
		if err != nil {
			return nil, err
		}
		if !c.Gone.IsZero() || id == session.CrewOf(p.ID) && len(c.Ledges)+len(c.Trips) == 0 || c.Met.IsZero() {
			continue
		}
		out = append(out, c)
	}
	return out, nil
}

// whichCrew asks somebody of several crews, once, which of them a line in private is for; asked is true when it did. What they choose stays
// until /crew.
func (a *ask) whichCrew(cmd string) (asked bool, err error) {
	if a.r.Place.Group || a.r.From.ID == 0 || !slices.Contains(crewAsks, cmd) {
		return false, nil
	}
	p, err := a.person(a.r.From.ID)
	if err != nil || p.Crew != "" {
		return false, err
	}
	crews, err := a.liveCrews(p)
	if err != nil || len(crews) < 2 {
		return false, err
	}
	return true, a.crewPanel(p, crews, a.r.Text)
}

// chooseCrew is /crew.
func (a *ask) chooseCrew() error {
	if a.r.Place.Group {
		return a.say("crew_here")
	}
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	crews, err := a.liveCrews(p)
	if err != nil {
		return err
	}
	if len(crews) < 2 {
		return a.say("crew_one")
	}
	return a.crewPanel(p, crews, "")
}

// mostCrewsShown bounds the buttons.
const mostCrewsShown = 8

func (a *ask) crewPanel(p session.Person, crews []session.Crew, line string) error {
	return a.doIn(session.CrewOf(p.ID), a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if c.Met.IsZero() || c.Chat == 0 {
			c.Chat, c.Group, c.Title = a.r.Place.ID, false, ""
		}
		if line != "" {
			c.Ask(session.Pending{Who: p.ID, Chat: a.r.Place.ID, What: pendingCrew, Args: map[string]string{"line": line}, At: tx.Now()})
			if err := tx.PutCrew(c); err != nil {
				return err
			}
		}
		var rows [][]chat.Button
		for _, x := range crews[:min(len(crews), mostCrewsShown)] {
			label := x.Title
			if x.ID == session.CrewOf(p.ID) {
				label = w.T("crew_own")
			}
			if x.ID == a.crew && p.Crew != "" {
				label = "✓ " + label
			}
			rows = append(rows, []chat.Button{button(label, actCrew, ref(x.ID, ""), "")})
		}
		id := "crew_which"
		if line != "" {
			id = "crew_which_line"
		}
		a.reply(tx, w.T(id), rows...)
		return nil
	})
}

// crewChosen is a tap on one of them: it stands, and the line that was asked about is answered.
func (a *ask) crewChosen(crew session.CrewID) error {
	if a.r.Place.Group {
		return a.oldPanel()
	}
	id, own := a.r.From.ID, session.CrewOf(a.r.From.ID)
	if err := a.Session.DoPerson(a.ctx, a.cause.Then("crew"), id, func(tx *session.Tx) error {
		p, _, err := tx.LoadPerson(id)
		if err != nil {
			return err
		}
		p.Crew = crew
		return tx.PutPerson(p)
	}); err != nil {
		return err
	}
	c, err := a.crewRecord(crew)
	if err != nil {
		return err
	}
	mine, err := a.crewRecord(own)
	if err != nil {
		return err
	}
	a.crew = crew
	q, ok := mine.Question(id, a.r.Place.ID, a.at())
	if !ok || q.What != pendingCrew {
		return a.do(func(tx *session.Tx, _ session.Crew, w wording.Words) error {
			a.toast = w.T("toast_noted")
			a.reply(tx, w.T("crew_set", "crew", crewName(w, c, own)))
			return nil
		})
	}
	// The line first, under the tap's own cause, and only then the question is forgotten: cut off in between, it is answered when the
	// tap comes again.
	a.r.Kind, a.r.Text = chat.KindText, q.Args["line"]
	if err := a.text(); err != nil {
		return err
	}
	return a.doIn(own, a.cause.Then("answered"), func(tx *session.Tx, c session.Crew, _ wording.Words) error {
		if x, ok := c.Question(id, a.r.Place.ID, tx.Now()); !ok || x.What != pendingCrew || !x.At.Equal(q.At) {
			return nil
		}
		c.Answered(id, a.r.Place.ID)
		return tx.PutCrew(c)
	})
}

func crewName(w wording.Words, c session.Crew, own session.CrewID) string {
	if c.ID == own || c.Title == "" {
		return wording.Plain(w.T("crew_own"))
	}
	return c.Title
}

// namesLedge are the commands whose line may name a ledge of another crew than the one that is meant in private.
var namesLedge = []string{"out", "conditions", "hours", "watch", "tide", "light", "trip", "nearmiss"}

// crewByLedge turns, in private, to the one crew of somebody that knows the ledge a line names, when the crew they mean does not: whoever goes
// out to a ledge of their mates must not be told that there is none such.
func (a *ask) crewByLedge(cmd, args string) error {
	if a.r.Place.Group || a.r.From.ID == 0 || args == "" || !slices.Contains(namesLedge, cmd) {
		return nil
	}
	c, err := a.crewRecord(a.crew)
	if err != nil {
		return err
	}
	if _, _, ok := c.LedgeIn(args); ok {
		return nil
	}
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	crews, err := a.liveCrews(p)
	if err != nil {
		return err
	}
	var fit []session.CrewID
	for _, c := range crews {
		if _, _, ok := c.LedgeIn(args); ok {
			fit = append(fit, c.ID)
		}
	}
	if len(fit) == 1 {
		a.crew = fit[0]
	}
	return nil
}
