package bot

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/places"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
	"ledgehand/session"
)

// Ledges in and out of files of places. What comes in is a name and a position, and is asked about before it becomes a card; what goes out
// holds exact positions, and goes to one member in private.

const (
	pendingImport = "import"
	mostListed    = 24 // places of a file to choose from
	samePlace     = 0.05
)

// importLedges is /ledge import under a GPX or GeoJSON file.
func (a *ask) importLedges() error {
	if a.r.File == nil {
		return a.say("import_how")
	}
	data, ok, err := a.fetch()
	if !ok || err != nil {
		return err
	}
	found, err := places.Read(data)
	if err != nil {
		return a.say("import_file_" + importFault(err))
	}
	if len(found.Places) == 0 {
		return a.say("import_none", "unread", found.Unread, "shapes", found.Shapes)
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if len(c.Ledges) >= mostLedges {
			a.reply(tx, w.T("ledges_full", "n", mostLedges))
			return nil
		}
		args := map[string]string{"left": strconv.Itoa(found.Unread + found.Shapes), "over": strconv.Itoa(found.Over + max(0, len(found.Places)-mostListed))}
		for i, p := range found.Places[:min(len(found.Places), mostListed)] {
			args["p"+strconv.Itoa(i)] = ftoa(p.At.Lat) + " " + ftoa(p.At.Lon) + " " + wording.Clean(p.Name, command.MaxName)
		}
		q := session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: pendingImport, Args: args, At: tx.Now()}
		c.Ask(q)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.importPanel(tx, c, w, q, "")
		return nil
	})
}

func importFault(err error) string {
	switch {
	case errors.Is(err, places.ErrFormat):
		return "format"
	case errors.Is(err, places.ErrSystem):
		return "system"
	case errors.Is(err, places.ErrDeclares), errors.Is(err, places.ErrDeep):
		return "odd"
	}
	return "broken"
}

// offered is a place of a file that can be chosen.
type offered struct {
	name string
	at   measure.Position
	done string // the ledge it became
}

func offers(q session.Pending) (out []offered) {
	for i := range mostListed {
		v, ok := q.Args["p"+strconv.Itoa(i)]
		w := strings.SplitN(v, " ", 3)
		if !ok || len(w) < 2 {
			break
		}
		lat, err1 := strconv.ParseFloat(w[0], 64)
		lon, err2 := strconv.ParseFloat(w[1], 64)
		if errors.Join(err1, err2) != nil {
			break
		}
		o := offered{at: measure.Position{Lat: lat, Lon: lon}, done: q.Args["d"+strconv.Itoa(i)]}
		if len(w) == 3 {
			o.name = w[2]
		}
		out = append(out, o)
	}
	return out
}

// importPanel lists what a file holds, with what speaks against each place, and buttons to choose.
func (a *ask) importPanel(tx *session.Tx, c session.Crew, w wording.Words, q session.Pending, said string) {
	all := offers(q)
	out := []string{w.T("import_head", "n", len(all))}
	var rows [][]chat.Button
	r, left := ref(tx.Crew, ""), 0
	for i, o := range all {
		line := w.T("import_line", "i", i+1, "name", orDash(o.name), "where", wording.HTML(placeDoubt(w, c, o)))
		if o.done != "" {
			line = w.T("import_line_done", "i", i+1, "name", o.done)
		}
		out = append(out, line)
		if o.done != "" {
			continue
		}
		if left%6 == 0 {
			rows = append(rows, nil)
		}
		left++
		rows[len(rows)-1] = append(rows[len(rows)-1], button(strconv.Itoa(i+1), actImport, r, strconv.Itoa(i+1)))
	}
	if n := q.Args["over"]; n != "0" && n != "" {
		out = append(out, w.T("import_over", "n", n))
	}
	if n := q.Args["left"]; n != "0" && n != "" {
		out = append(out, w.T("import_left", "n", n))
	}
	if said != "" {
		out = append(out, said)
	}
	if left > 0 {
		rows = append(rows, []chat.Button{button(w.T("b_import_all"), actImport, r, "all"), button(w.T("b_import_stop"), actImport, r, "stop")})
		out = append(out, w.T("import_foot"))
	}
	a.post(tx, "", session.Slow, chat.Message{
		To: a.r.Place.ID, Thread: a.r.Place.Thread, Panel: fmt.Sprintf("import/%d", a.r.From.ID), Repost: a.r.Kind != chat.KindTap,
		Text: strings.Join(out, "\n"), Buttons: rows,
	})
}

// placeDoubt says where a place lies, by its tide station, and why it may not be what it seems.
func placeDoubt(w wording.Words, c session.Crew, o offered) string {
	for _, l := range c.Ledges {
		if card, err := cardOf(l); err == nil && card.Exact != nil && measure.DistanceKm(*card.Exact, o.at) <= samePlace {
			return w.T("import_known", "name", l.Name)
		}
	}
	st, ok := tide.Choose(o.at)
	switch {
	case o.at.Lat == 0 && o.at.Lon == 0:
		return w.T("import_zero")
	case swapped(o.at):
		return w.T("import_swapped")
	case !ok:
		return w.T("import_no_station")
	}
	return w.T("import_near", "station", st.Name, "km", w.Km(measure.DistanceKm(o.at, st.Position)))
}

// farFromTide is from where on no tide station says anything of a place, km; the same bound as for verdicts.
const farFromTide = 100

// swapped says whether a place lies on no coast that has a tide station, and would on one with its numbers exchanged: some programs write
// longitude first where latitude belongs.
func swapped(p measure.Position) bool {
	far := func(p measure.Position) bool {
		st, ok := tide.Choose(p)
		return !ok || measure.DistanceKm(p, st.Position) > farFromTide
	}
	other := measure.Position{Lat: p.Lon, Lon: p.Lat}
	return far(p) && other.Check() == nil && !far(other)
}

// importTapped is a button under the list.
func (a *ask) importTapped(arg string) error {
	if ok, err := a.mayEdit(false); !ok || err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, ok := c.Question(a.r.From.ID, a.r.Place.ID, tx.Now())
		if !ok || q.What != pendingImport {
			a.toast, a.loud = w.T("setup_gone"), true
			return nil
		}
		return a.takeImported(tx, c, w, q, arg)
	})
}

// importAnswered is a line such as "1 3 5-7", "all" or "none".
func (a *ask) importAnswered(q session.Pending) error {
	if ok, err := a.mayEdit(false); !ok || err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		return a.takeImported(tx, c, w, q, a.r.Text)
	})
}

func (a *ask) takeImported(tx *session.Tx, c session.Crew, w wording.Words, q session.Pending, line string) error {
	all := offers(q)
	chosen, ok := chosenOf(line, len(all))
	switch {
	case !ok:
		a.reply(tx, w.T("import_unread", "said", wording.Clean(line, 40), "n", len(all)))
		return nil
	case len(chosen) == 0:
		c.Answered(a.r.From.ID, a.r.Place.ID)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.post(tx, "", session.Slow, chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, Panel: fmt.Sprintf("import/%d", a.r.From.ID), Text: w.T("import_stopped")})
		return nil
	}
	var refused []string
	q.Args = cloneArgs(q.Args)
	added := 0
	for _, i := range chosen {
		o := all[i]
		if o.done != "" {
			continue
		}
		name, why, err := a.addPlace(tx, &c, w, o)
		if err != nil {
			return err
		}
		if why != "" {
			refused = append(refused, why)
			continue
		}
		q.Args["d"+strconv.Itoa(i)] = name
		added++
	}
	c.Ask(q)
	if err := tx.PutCrew(c); err != nil {
		return err
	}
	said := lined(refused...)
	if added > 0 {
		said = lined(w.T("import_added", "n", added), said)
	}
	a.toast = w.T("toast_noted")
	a.importPanel(tx, c, w, q, said)
	return nil
}

func cloneArgs(m map[string]string) map[string]string {
	out := make(map[string]string, len(m))
	for k, v := range m {
		out[k] = v
	}
	return out
}

// addPlace makes a card of a place. What clocks show there, or a name that cannot be, is asked and not guessed: why is then what is said.
func (a *ask) addPlace(tx *session.Tx, c *session.Crew, w wording.Words, o offered) (name, why string, err error) {
	if len(c.Ledges) >= mostLedges {
		return "", w.T("ledges_full", "n", mostLedges), nil
	}
	for _, l := range c.Ledges {
		if card, err := cardOf(l); err == nil && card.Exact != nil && measure.DistanceKm(*card.Exact, o.at) <= samePlace {
			return "", w.T("import_is_known", "name", orDash(o.name), "known", l.Name), nil
		}
	}
	if name = freeName(*c, w, o.name); name == "" {
		return "", w.T("ledges_full", "n", mostLedges), nil
	}
	card, err := revise(ledge.Card{Name: name}, command.LedgeFields{Name: name, At: &o.at}, tx.Now())
	var which *whichZone
	switch {
	case errors.As(err, &which):
		line := fmt.Sprintf("/ledge add %s at %s %s timezone %s", name, ftoa(o.at.Lat), ftoa(o.at.Lon), which.zones[0])
		return "", w.T("import_zone", "name", name, "line", line), nil
	case errors.Is(err, errNoStation):
		return "", w.T("import_refused", "name", name, "why", w.T("import_no_station")), nil
	case err != nil:
		return "", w.T("import_refused", "name", name, "why", cardFault(err)), nil
	}
	led, err := a.ledgeOf(card)
	if err != nil {
		return "", "", err
	}
	c.PutLedge(led)
	settle(c, card)
	return name, "", nil
}

// freeName is a name that no ledge of the crew has: what was said, or with a number behind it; "" when there is none.
func freeName(c session.Crew, w wording.Words, said string) string {
	taken := func(s string) bool {
		return slices.ContainsFunc(c.Ledges, func(l session.Ledge) bool {
			return slices.ContainsFunc(append([]string{l.Name}, l.Aliases...), func(n string) bool { return strings.EqualFold(n, s) })
		})
	}
	said = strings.Join(strings.Fields(strings.NewReplacer("=", " ", "\"", " ").Replace(wording.Clean(said, command.MaxName-4))), " ")
	if said == "" || notAName(session.Crew{}, session.Ledge{}, said) != "" {
		for i := range 2 * mostLedges {
			if n := w.T("ledge_n", "i", i+1); !taken(wording.Plain(n)) {
				return wording.Plain(n)
			}
		}
		return ""
	}
	if !taken(said) {
		return said
	}
	for i := range mostLedges {
		if n := said + " " + strconv.Itoa(i+2); !taken(n) {
			return n
		}
	}
	return ""
}

// chosenOf reads which of n things a line means, from 0; none is "stop", "none" and the like. ok is false for anything else.
func chosenOf(line string, n int) (out []int, ok bool) {
	line = strings.ToLower(strings.TrimSpace(line))
	switch strings.Trim(line, " .!") {
	case "all", "todo", "todos", "todas":
		for i := range n {
			out = append(out, i)
		}
		return out, n > 0
	case "none", "no", "stop", "cancel", "ninguno", "ninguna", "nada", "parar":
		return nil, true
	}
	line = strings.NewReplacer("–", "-", " - ", "-", " to ", "-", " a ", "-").Replace(line)
	for _, word := range strings.FieldsFunc(line, func(r rune) bool { return r == ',' || r == ' ' || r == ';' || r == '+' || r == '&' }) {
		if word == "and" || word == "y" {
			continue
		}
		from, to, span := strings.Cut(strings.Trim(word, "."), "-")
		lo, err := strconv.Atoi(from)
		hi := lo
		if span && err == nil {
			hi, err = strconv.Atoi(to)
		}
		if err != nil || lo < 1 || hi > n || lo > hi {
			return nil, false
		}
		for i := lo; i <= hi; i++ {
			if !slices.Contains(out, i-1) {
				out = append(out, i-1)
			}
		}
	}
	return out, len(out) > 0
}

// exportLedges is /ledge export [gpx | geojson] [NAME]: to the one who asks, in private, wherever it was asked.
func (a *ask) exportLedges(rest string) error {
	kind, name, _ := strings.Cut(strings.TrimSpace(rest), " ")
	switch kind = strings.ToLower(kind); kind {
	case "gpx", "geojson":
	default:
		kind, name = "gpx", rest
	}
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		ledges := c.Ledges
		if strings.TrimSpace(name) != "" {
			l, ok := c.LedgeNamed(name)
			if !ok {
				return a.noLedge(tx, c, w, name)
			}
			ledges = []session.Ledge{l}
		}
		if _, in := c.Member(a.r.From.ID); c.Group && !in {
			a.reply(tx, w.T("export_members"))
			return nil
		}
		own := wordsIn(c, p.Language)
		var out []places.Place
		without := 0
		for _, l := range ledges {
			card, err := cardOf(l)
			if err != nil || card.Exact == nil {
				without++
				continue
			}
			line, err := ledgeLine(own, l, tx.Now())
			if err != nil {
				return err
			}
			out = append(out, places.Place{Name: l.Name, Note: strings.TrimPrefix(wording.Plain(line), l.Name+": "), At: *card.Exact})
		}
		switch {
		case len(out) == 0:
			a.reply(tx, w.T("export_no_ledges"))
			return nil
		case a.r.Place.Group && !p.Private:
			a.reply(tx, w.T("export_start"))
			return nil
		}
		body, file, media := []byte(nil), "ledges.gpx", "application/gpx+xml"
		if kind == "geojson" {
			file, media = "ledges.geojson", "application/geo+json" // RFC 7946, section 12
			body, err = places.GeoJSON(own.T("place_kind"), out)
		} else {
			body, err = places.GPX(c.Title, own.T("place_kind"), out, tx.Now())
		}
		if err != nil {
			return err
		}
		text := own.T("export_file", "n", len(out))
		if without > 0 {
			text += "\n" + own.T("export_without", "n", without)
		}
		a.sendFilePrivately(tx, a.r.From.ID, wording.HTML(text), chat.Document{Data: body, Name: file, Type: media})
		if a.r.Place.Group {
			a.reply(tx, w.T("export_in_private"))
		}
		return nil
	})
}
