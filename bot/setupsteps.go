package bot

import (
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/tide"
	"ledgehand/session"
)

// The steps of setting a ledge up: each question can be tapped or answered in words, what was typed before is not asked again, a bad answer
// loses nothing, and it can be stopped. The draft is a question of the crew's record, so it outlives a restart.

// ledgeAnswered takes a line as the answer to a question about ledges; done is false when it was none.
func (a *ask) ledgeAnswered(q session.Pending) (done bool, err error) {
	switch {
	case q.What == pendingPhoto && a.r.Photo != "":
		return true, a.photoAnswered(q)
	case strings.TrimSpace(a.r.Text) == "":
		return false, nil
	case q.What == pendingImport:
		return true, a.importAnswered(q)
	case q.What == "ledge":
		return true, a.setupTyped()
	}
	return false, nil
}

// setupTyped is an answer in words to whatever is asked of the draft.
func (a *ask) setupTyped() error {
	line := strings.TrimSpace(a.r.Text)
	switch strings.ToLower(strings.Trim(line, ".!")) {
	case "stop", "cancel", "no", "parar", "cancelar":
		return a.setupStop()
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, ok := a.draft(c)
		if !ok {
			return nil
		}
		q.Args = cloneArgs(q.Args)
		said := wording.Clean(line, 40)
		switch {
		case q.Args["zone"] == "":
			if _, err := time.LoadLocation(line); err != nil || !strings.Contains(line, "/") {
				a.reply(tx, w.T("setup_bad_clock", "said", said))
				return nil
			}
			q.Args["zone"] = line
		case q.Args["faces"] == "":
			f, err := command.LedgeCard("x faces " + line)
			if err != nil || f.Faces == nil {
				a.reply(tx, w.T("setup_bad_faces", "said", said))
				return nil
			}
			q.Args["faces"] = strconv.FormatFloat(float64(*f.Faces), 'f', -1, 64)
		case q.Args["lip"] == "":
			f, err := command.LedgeCard("x lip " + line)
			if err != nil || f.Lip == nil {
				a.reply(tx, w.T("setup_bad_lip", "said", said))
				return nil
			}
			lip := *f.Lip
			if f.LipDatum != "" {
				if lip, err = tide.FromDatum(q.Args["station"], f.LipDatum, lip); err != nil {
					a.cardRefused(tx, w, err, "")
					return nil
				}
			}
			q.Args["lip"] = strconv.FormatFloat(float64(lip), 'f', -1, 64)
		default:
			a.reply(tx, w.T("setup_bad_foot"))
			return nil
		}
		return a.setupNext(tx, c, w, q)
	})
}

// setupNext keeps the draft and asks what it lacks next; with nothing left to ask the card is made.
func (a *ask) setupNext(tx *session.Tx, c session.Crew, w wording.Words, q session.Pending) error {
	q.At = tx.Now() // each answer gives the next question its time
	f, line := command.LedgeFields{}, q.Args["line"]
	if line != "" {
		var err error
		if f, err = command.LedgeCard(line); err != nil {
			f, line = command.LedgeFields{}, ""
		}
	}
	if q.Args["faces"] != "" && q.Args["lip"] != "" && f.Foot != nil && f.Slope != nil {
		card, err := draftCard(q, *f.Slope, float64(*f.Foot), tx.Now())
		if err == nil {
			card, err = typedToo(onto(c, card), f, tx.Now())
		}
		if err != nil {
			a.cardRefused(tx, w, err, "/ledge add "+line)
			return nil
		}
		led, err := a.ledgeOf(card)
		if err != nil {
			return err
		}
		c.PutLedge(led)
		c.Answered(a.r.From.ID, a.r.Place.ID)
		settle(&c, card)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		return a.ledgeNoted(tx, w, led.Name, card)
	}
	c.Ask(q)
	if err := tx.PutCrew(c); err != nil {
		return err
	}
	switch {
	case q.Args["zone"] == "":
		a.askClock(tx, w, q)
	case q.Args["faces"] == "":
		return a.askFaces(tx, w, q)
	case q.Args["lip"] == "":
		return a.askLip(tx, w, q)
	default:
		a.askFoot(tx, w, q)
	}
	return nil
}

// typedToo puts what a line gave besides onto a card that was asked for the rest.
func typedToo(card ledge.Card, f command.LedgeFields, now time.Time) (ledge.Card, error) {
	if f.Faces == nil {
		f.Faces = card.Faces
	}
	f.Lip, f.LipDatum = nil, "" // levelled already when it was typed
	return revise(card, f, now)
}

// onto puts what was asked onto the card that the crew has of that name already, so that nothing else of it is lost.
func onto(c session.Crew, card ledge.Card) ledge.Card {
	l, ok := c.LedgeNamed(card.Name)
	if !ok || !strings.EqualFold(l.Name, card.Name) {
		return card
	}
	old, err := cardOf(l)
	if err != nil {
		return card
	}
	if card.Exact != nil {
		old.Exact = card.Exact
	}
	old.TideStation, old.Datum, old.Zone, old.SeaAnchor = card.TideStation, card.Datum, card.Zone, card.SeaAnchor
	old.Faces, old.FaceSlope, old.FootDepth, old.LipHeight, old.LipMeasured = card.Faces, card.FaceSlope, card.FootDepth, card.LipHeight, card.LipMeasured
	return old
}

// askLip asks how high the lip stands.
func (a *ask) askLip(tx *session.Tx, w wording.Words, q session.Pending) error {
	st, err := tide.Find(q.Args["station"])
	if err != nil {
		return err
	}
	deg, err := strconv.ParseFloat(q.Args["faces"], 64)
	if err != nil {
		return a.problem(tx, w, wording.ErrOldPanel)
	}
	r := ref(tx.Crew, "")
	rows := make([][]chat.Button, 2)
	for i, m := range []int{1, 2, 3, 4, 5, 6, 8, 10} {
		rows[i/4] = append(rows[i/4], button(w.Height(float64(m)), actSetLip, r, "l"+strconv.Itoa(m)))
	}
	rows = append(rows, []chat.Button{button(w.T("b_unmeasured"), actSetLip, r, "l-")})
	a.setupPanel(tx, w.T("ask_lip", "name", q.Args["name"], "dir", w.Compass(deg), "datum", st.Datum), a.stoppable(tx, w, rows))
	return nil
}

// askFoot asks what lies below it.
func (a *ask) askFoot(tx *session.Tx, w wording.Words, q session.Pending) {
	r := ref(tx.Crew, "")
	a.setupPanel(tx, w.T("ask_foot", "name", q.Args["name"]), a.stoppable(tx, w, [][]chat.Button{
		{button(w.T("b_foot_deep"), actSetLip, r, "deep")},
		{button(w.T("b_foot_shallow"), actSetLip, r, "shallow")},
		{button(w.T("b_foot_slope"), actSetLip, r, "slope")},
	}))
}

// stoppable adds the button that ends it.
func (a *ask) stoppable(tx *session.Tx, w wording.Words, rows [][]chat.Button) [][]chat.Button {
	return append(rows, []chat.Button{button(w.T("b_setup_stop"), actSetStop, ref(tx.Crew, ""), "")})
}

// setupStop drops the draft.
func (a *ask) setupStop() error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, ok := a.draft(c)
		if !ok {
			a.toast, a.loud = w.T("setup_gone"), true
			return nil
		}
		c.Answered(a.r.From.ID, a.r.Place.ID)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.setupPanel(tx, w.T("setup_stopped", "name", q.Args["name"]), nil)
		return nil
	})
}

// askRest asks what a typed line of a new ledge left out, beginning with the way it faces.
func (a *ask) askRest(tx *session.Tx, c session.Crew, w wording.Words, card ledge.Card, line string) error {
	q := session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: "ledge", At: tx.Now(), Args: map[string]string{
		"name": card.Name, "station": card.TideStation, "lat": ftoa(card.Exact.Lat), "lon": ftoa(card.Exact.Lon), "zone": card.Zone, "exact": "yes", "line": strings.TrimSpace(line),
	}}
	if card.LipHeight != nil {
		q.Args["lip"] = strconv.FormatFloat(float64(*card.LipHeight), 'f', -1, 64)
	}
	return a.setupNext(tx, c, w, q)
}
