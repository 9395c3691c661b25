// Package bot is the conversation: one file a job, each reading a request, running a use
// case and saying what follows. It is the only place where session and conditions meet.
// Whatever it says about a change is committed together with the change; only the answer
// that stops a tapped button's spinner goes out beside the store, for it is worth nothing later.
package bot

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/measure"
	"ledgehand/session"
	"ledgehand/session/catch/weight"
	"ledgehand/session/lookout"
	"ledgehand/session/outing"
)

// Seer gives what the world outside says about a place. It may take seconds.
type Seer interface {
	Sea(ctx context.Context, a feed.Anchor, now time.Time) (*conditions.Sea, error)
	Weather(ctx context.Context, a feed.Anchor, now time.Time) (*conditions.Weather, error)
	Warnings(ctx context.Context, p feed.WarningPlace, now time.Time) conditions.Warnings
	// Buoy is the nearest useful reading beside the forecast; most coasts have none.
	Buoy(ctx context.Context, a feed.Anchor, faces *measure.From, now time.Time) (*conditions.Observed, error)
}

// Sender is the chat service, for what is not worth keeping: tap answers and the typing sign; and for the files people send.
type Sender interface {
	Fetch(ctx context.Context, file string) ([]byte, error)
	// Admins are the people who administer a group.
	Admins(ctx context.Context, group int64) ([]int64, error)
	Send(ctx context.Context, m chat.Message, edit int) chat.Sent
	Typing(ctx context.Context, to int64, thread int)
}

// Desk answers requests.
type Desk struct {
	Session *session.Service
	Seer    Seer
	Sender  Sender
	Log     *slog.Logger
	Link    func(token string) string // the address that opens a private chat with us and hands over a token
	Token   func() string             // makes an unguessable, single-use token

	Weights *weight.Table // lengths and weights; nil: those of the program

	Mails bool // there is a mail server: people ashore can be invited by mail

	Unbounded bool // nobody is told that they ask too much: for one who talks to us alone

	known  known // who was noted in which crew last, so that their record is not read for every line
	bounds bounds
	admins admins // who administers which group
	scans  bounds // who asked of late for what all records must be read for
	fell   bounds // who said of late that somebody fell in where nobody is out
}

// ask is one request being answered.
type ask struct {
	*Desk
	ctx   context.Context
	r     chat.Request
	cause session.Cause
	crew  session.CrewID
	reads string // the language of whoever asks, "": not known
	toast string // what the tapped button's answer says
	loud  bool
}

// Handle answers one request; it returns only when the effect is committed.
func (d *Desk) Handle(ctx context.Context, r chat.Request, cause session.Cause) error {
	a := &ask{Desk: d, ctx: ctx, r: r, cause: cause}
	if r.Kind == chat.KindOutcome {
		return a.outcome()
	}
	if r.Kind == chat.KindLook {
		a.crew = session.CrewID(r.Look.Crew)
		return a.lookAgain()
	}
	if r.Kind == chat.KindDeaf {
		return a.wasDeaf(*r.Deaf)
	}
	if r.Kind == chat.KindMoved {
		return a.moved(r.Place.ID, r.MovedTo)
	}
	if err := a.findCrew(); err != nil {
		return err
	}
	ok, err := a.within()
	if ok && err == nil {
		err = a.answerRequest()
	}
	if err == nil && r.TapID != "" {
		a.answerTap() // whatever became of it: until then the button spins
	}
	return err
}

// answerRequest does what is asked for.
func (a *ask) answerRequest() (err error) {
	if a.r.Kind == chat.KindAdded && a.r.Place.Group {
		return a.added()
	}
	if a.r.Kind == chat.KindLeft && a.r.Place.Group && a.r.Gone != nil {
		return a.memberLeft()
	}
	if a.r.Place.Group {
		if err := a.noteMember(a.crew); err != nil {
			return err
		}
	}
	switch a.r.Kind {
	case chat.KindRemoved:
		err = a.removed()
	case chat.KindText:
		err = a.text()
	case chat.KindTap:
		err = a.tap()
	case chat.KindPlace:
		err = a.place()
	case chat.KindFix:
		_, err = a.shows()
	case chat.KindUnlisted:
		err = a.unlisted()
	case chat.KindEdited, chat.KindOther, chat.KindAdded:
		// Deliberate silence: an edited line must not run twice, and what we do not know we do not guess. Whoever
		// unblocked us gets their hello when they press Start.
	}
	return err
}

// findCrew finds whose business a request is: the group's, or in private that of the crew the person was last seen in.
func (a *ask) findCrew() error {
	a.reads = wording.BaseLanguage(a.r.From.Language)
	if a.r.Place.Group {
		crew, err := a.Session.CrewOfChat(a.ctx, a.r.Place.ID)
		if err != nil {
			return err
		}
		a.crew = crew
		return nil
	}
	id := a.r.From.ID
	if id == 0 {
		id = a.r.Place.ID
	}
	if id <= 0 {
		return nil // of no chat that we know the kind of
	}
	a.crew = session.CrewOf(id)
	p, err := a.person(id)
	if err != nil {
		return err
	}
	news := p.Reads(a.reads)
	a.reads = p.Language
	crews := p.Crews
	if p.Crew != "" { // the one they chose, while there is anybody there
		crews = append([]session.CrewID{p.Crew}, crews...)
	}
	for _, crew := range crews {
		c, err := a.crewRecord(crew)
		if err != nil {
			return err
		}
		if c.Gone.IsZero() && (!c.Met.IsZero() || crew == p.Crew) { // in a group that we were removed from nobody would hear of anything
			a.crew = crew
			break
		}
	}
	if a.r.Kind == chat.KindRemoved {
		return nil
	}
	if !p.Private { // whoever writes to us in private can be written to
		if err := a.holdOpen(p); err != nil {
			return err
		}
	}
	if news { // before their own record says so: what is cut off in between is done again
		if err := a.spreadLanguage("reads", p); err != nil {
			return err
		}
	}
	if !p.Private || news {
		return a.Session.DoPerson(a.ctx, a.cause.Then("private"), id, func(tx *session.Tx) error {
			p, _, err := tx.LoadPerson(id)
			if err != nil {
				return err
			}
			p.Private, p.Name, p.Seen = true, a.name(), a.cause.Now
			p.Reads(a.reads)
			return tx.PutPerson(p)
		})
	}
	return nil
}

// noteMember remembers that somebody belongs to a crew, in both records, each once.
func (a *ask) noteMember(crew session.CrewID) error {
	id := a.r.From.ID
	key := string(crew) + " " + a.reads + " " + a.r.From.Name
	if id == 0 {
		return nil
	}
	if a.known.as(id, key) {
		if !a.goesOut() {
			return nil
		}
		// Whoever may be out in a moment must be found by their "off" in private: another replica may have forgotten them since.
		p, err := a.person(id)
		if err != nil || slices.Contains(p.Crews, crew) {
			return err
		}
	}
	if err := a.Session.DoPerson(a.ctx, a.cause.Then("who"), id, func(tx *session.Tx) error {
		p, _, err := tx.LoadPerson(id)
		if err != nil {
			return err
		}
		if news, other := p.In(crew), p.Reads(a.reads); !news && !other && p.Name == a.name() {
			return nil
		}
		p.Name, p.Seen = a.name(), a.cause.Now
		return tx.PutPerson(p)
	}); err != nil {
		return err
	}
	if err := a.Session.Do(a.ctx, a.cause.Then("member"), crew, func(tx *session.Tx) error {
		c, found, err := tx.LoadCrew()
		if err != nil {
			return err
		}
		if !found {
			a.meet(&c)
		}
		if !c.Saw(id, a.name(), a.cause.Now) && found {
			return nil
		}
		return tx.PutCrew(c)
	}); err != nil {
		return err
	}
	a.known.note(id, key)
	return nil
}

// goesOut says whether a request may put somebody on a ledge.
func (a *ask) goesOut() bool {
	switch a.r.Kind {
	case chat.KindText:
		cmd, _, ok := command.Split(a.r.Text)
		return ok && cmd == "out" || !ok && a.r.ReplyTo != 0
	case chat.KindTap:
		p, err := command.Unpack(a.r.Data)
		return err == nil && (p.Act == actGo || p.Act == actTime)
	}
	return false
}

// known remembers what was noted of whom; a full memory is emptied, which costs a few records read again.
type known struct {
	mu sync.Mutex
	of map[int64]string
}

const mostKnown = 10_000

func (k *known) as(id int64, key string) bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	last, ok := k.of[id]
	return ok && last == key
}

func (k *known) drop(id int64) {
	k.mu.Lock()
	defer k.mu.Unlock()
	delete(k.of, id)
}

func (k *known) note(id int64, key string) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.of == nil || len(k.of) >= mostKnown {
		k.of = map[int64]string{}
	}
	k.of[id] = key
}

// meet fills a new crew's record.
func (a *ask) meet(c *session.Crew) {
	c.Chat, c.Group = a.r.Place.ID, a.r.Place.Group
	c.Title = wording.Clean(a.r.Place.Title, 60)
	c.Language = a.r.From.Language
	c.Units = string(wording.Metric)
	c.Met = a.cause.Now
}

func (a *ask) name() string {
	if n := wording.Clean(a.r.From.Name, 40); n != "" {
		return n
	}
	return fmt.Sprintf("#%d", a.r.From.ID)
}

// person reads somebody's own record.
func (a *ask) person(id int64) (p session.Person, err error) {
	err = a.Session.View(a.ctx, session.CrewOf(id), a.cause.Now, func(tx *session.Tx) (err error) {
		p, _, err = tx.LoadPerson(id)
		return err
	})
	return p, err
}

// crewRecord reads a crew's record; an empty one when it was never met.
func (a *ask) crewRecord(crew session.CrewID) (c session.Crew, err error) {
	err = a.Session.View(a.ctx, crew, a.cause.Now, func(tx *session.Tx) (err error) {
		c, _, err = tx.LoadCrew()
		return err
	})
	return c, err
}

// crewsOf are the crews somebody is known in, their own private one among them.
func crewsOf(p session.Person) []session.CrewID {
	own := session.CrewOf(p.ID)
	if slices.Contains(p.Crews, own) {
		return p.Crews
	}
	return append(slices.Clone(p.Crews), own)
}

// at is the instant a line speaks from: when it was written. After an outage that is well before now.
func (a *ask) at() time.Time {
	if a.r.At.IsZero() || a.r.At.After(a.cause.Now) {
		return a.cause.Now
	}
	return a.r.At
}

// do runs a use case in the request's crew.
func (a *ask) do(fn func(tx *session.Tx, c session.Crew, w wording.Words) error) error {
	return a.doIn(a.crew, a.cause, fn)
}

func (a *ask) doIn(crew session.CrewID, cause session.Cause, fn func(tx *session.Tx, c session.Crew, w wording.Words) error) error {
	return a.Session.Do(a.ctx, cause, crew, func(tx *session.Tx) error {
		c, err := a.load(tx)
		if err != nil {
			return err
		}
		return fn(tx, c, a.words(c))
	})
}

// view reads the request's crew without changing it.
func (a *ask) view(fn func(tx *session.Tx, c session.Crew, w wording.Words) error) error {
	return a.Session.View(a.ctx, a.crew, a.cause.Now, func(tx *session.Tx) error {
		c, err := a.load(tx)
		if err != nil {
			return err
		}
		return fn(tx, c, a.words(c))
	})
}

func (a *ask) load(tx *session.Tx) (session.Crew, error) {
	c, found, err := tx.LoadCrew()
	if err != nil {
		return c, err
	}
	if !found {
		a.meet(&c)
	}
	return c, nil
}

// words are for whoever asks, where they ask: in a group the crew's, in private their own.
func (a *ask) words(c session.Crew) wording.Words {
	if a.r.Place.Group {
		return crewWords(c)
	}
	return wordsIn(c, a.reads)
}

// wordsTo are for what is posted to a chat, which need not be the one that is answered.
func (a *ask) wordsTo(c session.Crew, to int64) wording.Words {
	if to == a.r.Place.ID {
		return a.words(c)
	}
	return crewWords(c)
}

// crewWords are for where a crew reads.
func crewWords(c session.Crew) wording.Words { return wordsIn(c, "") }

// wordsIn are a crew's units and zone in a language of one of its people, "" for the crew's own.
func wordsIn(c session.Crew, language string) wording.Words {
	return wording.For(cmp.Or(language, c.Language), wording.Units(c.Units), zone(c.Zone))
}

// wordsOf are for one chat that hears of an outing: whoever reads there alone reads their own language.
func wordsOf(c session.Crew, o outing.Outing, to int64) wording.Words {
	return wordsIn(c, o.LanguageIn(to)).In(o.Zone)
}

// zone reads an IANA name; the tables are built into the program, so a stored name always loads.
func zone(name string) *time.Location {
	if l, ok := wording.Zone(name); ok {
		return l
	}
	return time.UTC
}

// reply says something where the request came from.
func (a *ask) reply(tx *session.Tx, text string, buttons ...[]chat.Button) {
	m := chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, Text: text, Buttons: buttons}
	if a.r.Place.Group && a.r.Kind == chat.KindText {
		m.ReplyTo = a.r.Message
	}
	a.post(tx, "", session.Slow, m)
}

// answer is reply for what somebody's safety depends on.
func (a *ask) answer(tx *session.Tx, text string, buttons ...[]chat.Button) {
	a.post(tx, "", session.Urgent, chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, Text: text, Buttons: buttons})
}

// ask asks one question and opens the reply box: in a group a plain line would not reach us.
func (a *ask) question(tx *session.Tx, text, hint string) {
	m := chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, Text: text, ReplyTo: a.r.Message}
	if a.r.Place.Group {
		m.AskReply = hint
	}
	a.post(tx, "", session.Urgent, m)
}

func (a *ask) post(tx *session.Tx, id string, lane session.Lane, m chat.Message) {
	say(tx, session.Entry{ID: id, Lane: lane}, hush(tx, lane, m))
}

// say queues a message under an entry's terms.
func say(tx *session.Tx, e session.Entry, m chat.Message) {
	if m.Buttons = pressable(m.Buttons); m.Mail != nil {
		m.Buttons = nil
	}
	body, err := json.Marshal(m)
	if err != nil {
		panic(fmt.Sprintf("a message is always JSON: %v", err)) // strings, numbers and bytes only
	}
	e.Chat, e.Body, e.PanelKey = m.To, body, m.Panel
	if e.PanelKey != "" && e.ID == "" {
		e.ID = fmt.Sprintf("panel/%d/%s", m.To, m.Panel) // a newer state replaces one that still waits
	}
	tx.Say(e)
}

// pressable leaves out buttons that carry nothing: one of them would cost the message all of its buttons.
func pressable(rows [][]chat.Button) (out [][]chat.Button) {
	for _, row := range rows {
		row = slices.DeleteFunc(slices.Clone(row), func(b chat.Button) bool { return b.Data == "" && b.Copy == "" })
		if len(row) > 0 {
			out = append(out, row)
		}
	}
	return out
}

// answerTap stops the button's spinner. Taps die after 150 seconds anyway, so this is not kept.
func (a *ask) answerTap() {
	ctx, cancel := context.WithTimeout(a.ctx, 5*time.Second)
	defer cancel()
	a.Sender.Send(ctx, chat.Message{Answer: &chat.Answer{TapID: a.r.TapID, Text: a.toast, Loud: a.loud}}, 0)
}

// Slow says which requests need feeds or a picture.
func (d *Desk) Slow(r chat.Request) bool {
	switch r.Kind {
	case chat.KindText:
		cmd, _, ok := command.Split(r.Text)
		if r.File != nil && (strings.TrimSpace(r.Text) == "" || ok && (cmd == "rules" || cmd == "ledge")) {
			return true // it is fetched; whoever sends one with /off is off at once
		}
		return ok && (cmd == "conditions" || cmd == "hours" || cmd == "trip" || cmd == "export" || cmd == "tally") // all records are read for an export
	case chat.KindTap:
		p, err := command.Unpack(r.Data)
		return err == nil && (p.Act == actConditions || p.Act == actWhy || p.Act == actSetLip || p.Act == actTripSea || p.Act == actTripTime || p.Act == actGoPlanB || p.Act == actVote || p.Act == actForget || p.Act == actCrew)
	case chat.KindLook: // the others ask no feed
		return r.Look != nil && (r.Look.Kind == string(lookout.Trip) || r.Look.Kind == string(lookout.Outing) || r.Look.Kind == string(lookout.Gone))
	}
	return false
}

// Failed tells somebody that their request came to nothing, with a reference for the operator.
func (d *Desk) Failed(ctx context.Context, r chat.Request, cause session.Cause, ref string) error {
	if r.Place.ID == 0 {
		return nil
	}
	a := &ask{Desk: d, ctx: ctx, r: r, cause: cause.Then("failed")}
	if err := a.findCrew(); err != nil {
		return err
	}
	err := a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.answer(tx, w.T("failed", "ref", ref))
		a.toast, a.loud = short(w.T("failed", "ref", ref)), true
		return nil
	})
	if r.TapID != "" {
		a.answerTap()
	}
	return err
}

// problem turns an error a use case may meet into an answer; what it does not know stays an error.
func (a *ask) problem(tx *session.Tx, w wording.Words, err error) error {
	text, ok := w.Problem(err)
	if !ok {
		return err
	}
	a.toast = short(text)
	if a.r.Kind != chat.KindTap {
		a.answer(tx, text)
	} else {
		a.loud = true
	}
	return nil
}

// short is a text as a tap's answer shows it: no markup, 200 characters.
func short(html string) string {
	r := []rune(strings.ReplaceAll(wording.Plain(html), "\n", " "))
	if len(r) > 200 {
		r = append(r[:199], '…')
	}
	return string(r)
}
