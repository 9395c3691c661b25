package bot

import (
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
	"ledgehand/session"
)

// Setting a ledge up: from a sent location or a place name to a card and a first conditions answer, in one panel.

// place is a location somebody sent.
func (a *ask) place() error {
	if done, err := a.shows(); done || err != nil {
		return err // nobody on the rocks sets up another ledge
	}
	if a.r.Place.Group && a.r.ReplyTo == 0 {
		return nil // not meant for us
	}
	p := measure.Position{Lat: a.r.Point.Lat, Lon: a.r.Point.Lon}
	if p.Check() != nil {
		return nil
	}
	return a.setup(&p, p, "")
}

// placeNamed looks a typed place up among the tide stations: the only gazetteer built in.
func (a *ask) placeNamed(text string) error {
	text = wording.Clean(text, 60)
	if p, err := command.Position(text); err == nil {
		return a.setup(&p, p, "")
	}
	for _, s := range tide.Named(text, 1) {
		return a.setup(nil, s.Position, s.Name)
	}
	return a.say("place_none", "said", text)
}

// setup begins a ledge at a place. exact is nil when only a town is known: then nobody ashore is given a position
// that is not one.
func (a *ask) setup(exact *measure.Position, near measure.Position, name string) error {
	if ok, err := a.mayEdit(false); !ok || err != nil {
		return err
	}
	st, ok := tide.Choose(near)
	zones := tide.ZonesAt(near, a.cause.Now)
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if !ok || len(zones) == 0 {
			a.reply(tx, w.T("place_no_station"))
			return nil
		}
		if len(c.Ledges) >= mostLedges {
			a.reply(tx, w.T("ledges_full", "n", mostLedges))
			return nil
		}
		if name == "" {
			name = w.T("ledge_n", "i", len(c.Ledges)+1)
		}
		args := map[string]string{"name": name, "station": st.ID, "lat": ftoa(near.Lat), "lon": ftoa(near.Lon), "zone": zones[0]}
		if exact != nil {
			args["exact"] = "yes"
		}
		if len(zones) > 1 { // an hour wrong here is an alert an hour late: it is asked, not guessed
			args["zone"] = ""
			args["zones"] = strings.Join(zones[:min(4, len(zones))], " ")
		}
		q := session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: "ledge", Args: args, At: tx.Now()}
		c.Ask(q)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		if args["zone"] == "" {
			a.askClock(tx, w, q)
			return nil
		}
		return a.askFaces(tx, w, q)
	})
}

// askClock asks what clocks show at a place near which they differ.
func (a *ask) askClock(tx *session.Tx, w wording.Words, q session.Pending) {
	var rows [][]chat.Button
	for i, z := range strings.Fields(q.Args["zones"]) {
		rows = append(rows, []chat.Button{button(wording.Plain(zoneWords(w, z, tx.Now())), actSetClock, ref(tx.Crew, ""), strconv.Itoa(i))})
	}
	a.setupPanel(tx, w.T("ask_clock", "name", q.Args["name"]), a.stoppable(tx, w, rows))
}

// setClock takes the zone of the ledge being set up.
func (a *ask) setClock(arg string) error {
	i, err := strconv.Atoi(arg)
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, ok := a.draft(c)
		zones := strings.Fields(q.Args["zones"])
		if !ok || err != nil || i < 0 || i >= len(zones) {
			a.toast, a.loud = w.T("setup_gone"), true
			return nil
		}
		q.Args["zone"] = zones[i]
		return a.setupNext(tx, c, w, q)
	})
}

// askFaces asks which way a ledge looks, and says whose tide it has and what speaks against that.
func (a *ask) askFaces(tx *session.Tx, w wording.Words, q session.Pending) error {
	near, err := draftPlace(q)
	if err != nil {
		return err
	}
	st, err := tide.Find(q.Args["station"])
	if err != nil {
		return err
	}
	r := ref(tx.Crew, "")
	var rows [][]chat.Button
	for i := range 8 {
		if i%4 == 0 {
			rows = append(rows, nil)
		}
		rows[i/4] = append(rows[i/4], button(w.Compass(float64(i*45)), actSetFaces, r, strconv.Itoa(i*45)))
	}
	text := w.T("ask_faces", "name", q.Args["name"], "station", st.Name, "km", w.Km(measure.DistanceKm(near, st.Position)),
		"doubts", wording.HTML(w.TideDoubts(tide.DoubtsOf(near, st.ID))))
	a.setupPanel(tx, text, a.stoppable(tx, w, rows))
	return nil
}

func (a *ask) setupPanel(tx *session.Tx, text string, rows [][]chat.Button) {
	a.post(tx, "", session.Urgent, chat.Message{
		To: a.r.Place.ID, Thread: a.r.Place.Thread, Panel: fmt.Sprintf("ledge/%d", a.r.From.ID),
		Text: text, Buttons: rows, Repost: a.r.Kind != chat.KindTap,
	})
}

func ftoa(v float64) string { return strconv.FormatFloat(v, 'f', 6, 64) }

// draft is the ledge being set up by whoever taps.
func (a *ask) draft(c session.Crew) (session.Pending, bool) {
	q, ok := c.Question(a.r.From.ID, a.r.Place.ID, a.cause.Now)
	return q, ok && q.What == "ledge"
}

func (a *ask) setFaces(arg string) error {
	deg, err := strconv.Atoi(arg)
	if err != nil || deg < 0 || deg >= 360 {
		return a.oldPanel()
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, ok := a.draft(c)
		if !ok {
			a.toast, a.loud = w.T("setup_gone"), true
			return nil
		}
		q.Args["faces"] = arg
		return a.setupNext(tx, c, w, q)
	})
}

// Faces below the lip that a newcomer can choose from: cotangent of the slope, and depth at the foot below datum (m).
var feet = map[string]struct{ cot, depth float64 }{
	"deep":    {0, 8},
	"shallow": {0, 2},
	"slope":   {2, 3},
}

// setLip takes the lip's height, then what lies below it; with both the card is made and looked at.
func (a *ask) setLip(arg string) error {
	if h, ok := strings.CutPrefix(arg, "l"); ok {
		if m, err := strconv.Atoi(h); h != "-" && (err != nil || m < 1 || m > 10) {
			return a.oldPanel() // no button of ours carries it
		}
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			q, ok := a.draft(c)
			if !ok || q.Args["faces"] == "" {
				a.toast, a.loud = w.T("setup_gone"), true
				return nil
			}
			q.Args["lip"] = h
			return a.setupNext(tx, c, w, q)
		})
	}
	foot, ok := feet[arg]
	if !ok {
		return a.oldPanel()
	}
	// The look at the new ledge takes its time, so it is prepared outside the change and the card stored with it.
	var led session.Ledge
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, found := a.draft(c)
		if ok = found && q.Args["faces"] != "" && q.Args["lip"] != ""; !ok {
			return nil
		}
		card, err := draftCard(q, foot.cot, foot.depth, tx.Now())
		if err != nil {
			return err
		}
		card = onto(c, card)
		if f, err := command.LedgeCard(q.Args["line"]); err == nil {
			if typed, err := typedToo(card, f, tx.Now()); err == nil {
				card = typed
			}
		}
		led, err = a.ledgeOf(card)
		return err
	}); err != nil {
		return err
	}
	if !ok {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.toast, a.loud = w.T("setup_gone"), true
			return nil
		})
	}
	card, err := cardOf(led)
	if err != nil {
		return err
	}
	from, to := usualHours(card, a.cause.Now, zone(card.Zone))
	l, err := a.look(led, from, to)
	if err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		c.PutLedge(led)
		c.Answered(a.r.From.ID, a.r.Place.ID)
		settle(&c, card)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		text := w.T("setup_done", "name", led.Name, "dir", w.Compass(float64(*card.Faces)), "lip", lipWords(w, card))
		if odd := oddHeights(w, card); odd != "" {
			text += "\n" + odd
		}
		a.setupPanel(tx, text, nil)
		return a.postConditions(tx, c, w, l, nil)
	})
}

// settle takes from a crew's first ledge what nobody has set: the zone times are told in, and the area that says which
// fish a name means and how dates are written.
func settle(c *session.Crew, card ledge.Card) {
	if c.Zone == "" {
		c.Zone = card.Zone
	}
	if st, err := tide.Find(card.TideStation); err == nil && c.Area == "" {
		if c.Area = st.Country; st.Region != "" {
			c.Area += "-" + st.Region
		}
	}
}

// draftPlace is the place of the ledge being set up.
func draftPlace(q session.Pending) (measure.Position, error) {
	lat, err1 := strconv.ParseFloat(q.Args["lat"], 64)
	lon, err2 := strconv.ParseFloat(q.Args["lon"], 64)
	if err := errors.Join(err1, err2); err != nil {
		return measure.Position{}, fmt.Errorf("read the place of the ledge being set up: %w", err)
	}
	return measure.Position{Lat: lat, Lon: lon}, nil
}

func draftCard(q session.Pending, cot, depth float64, now time.Time) (ledge.Card, error) {
	p, err1 := draftPlace(q)
	deg, err2 := strconv.ParseFloat(q.Args["faces"], 64)
	if err := errors.Join(err1, err2); err != nil {
		return ledge.Card{}, fmt.Errorf("read the ledge being set up: %w", err)
	}
	f, d := measure.From(deg), measure.Metres(depth)
	c := ledge.Card{
		Name: q.Args["name"], Faces: &f, FaceSlope: &cot, FootDepth: &d, LipMeasured: ledge.Unmeasured, TideStation: q.Args["station"],
		Zone: q.Args["zone"],
	}
	if q.Args["exact"] != "" {
		c.Exact = &p
	}
	if h, err := strconv.ParseFloat(q.Args["lip"], 64); err == nil {
		m := measure.Metres(h)
		c.LipHeight, c.LipMeasured = &m, ledge.Estimated
	} else {
		c.LipMeasured = ""
	}
	return finishCard(c, p, now)
}

func (a *ask) ledgeOf(c ledge.Card) (session.Ledge, error) {
	body, err := json.Marshal(c)
	if err != nil {
		return session.Ledge{}, fmt.Errorf("encode a ledge card: %w", err)
	}
	return session.Ledge{Name: c.Name, Aliases: c.Aliases, Card: body, By: a.name(), At: a.cause.Now}, nil
}
