package telegram

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/go-telegram/bot/models"

	"ledgehand/bot/chat"
)

// Decode turns the raw JSON of one update into a request. got is when we received it. An update
// nobody can read is an error of that update alone; its text holds nothing the person wrote.
//
// At is the service's own date where it gives one (a tap has none) and never later than got.
// For an edit it is when the edit was made.
//
// A forwarded text becomes KindOther: that somebody passes on "I am off" says nothing about
// where they are themselves.
func Decode(raw []byte, got time.Time, me Me) (chat.Request, error) {
	got = got.UTC()
	u, err := open(raw)
	if err != nil {
		return chat.Request{}, err
	}
	r := chat.Request{ID: u.id, At: got, Got: got, Kind: chat.KindOther}
	switch u.kind {
	case updMessage, updEdited:
		err = decodeMessage(&r, u, me)
	case updTap:
		err = decodeTap(&r, u)
	case updMember:
		err = decodeMembership(&r, u)
	default:
		r.Place.ID, _ = u.chatID() // of no use but to choose a shard
	}
	if err != nil {
		return chat.Request{}, fmt.Errorf("decode %s of update %s: %w", u.kind, u.id, err)
	}
	return r, nil
}

var (
	errNoChat   = errors.New("it belongs to no chat")
	errNoPerson = errors.New("it comes from nobody")
	errOffGlobe = errors.New("its location is not on the globe")
)

func decodeMessage(r *chat.Request, u envelope, me Me) error {
	var m message
	if err := json.Unmarshal(u.body, &m); err != nil {
		return jsonTrouble(err)
	}
	if m.Chat.ID == 0 {
		return errNoChat
	}
	stamp(r, m.Date)
	r.Place = place(m.Chat, &m)
	if m.MovedTo != 0 {
		r.Kind, r.MovedTo = chat.KindMoved, m.MovedTo
		return nil
	}
	if m.MovedFrom != 0 {
		// The same move told from the new side, in either order: one request for both.
		r.Kind, r.MovedTo = chat.KindMoved, r.Place.ID
		r.Place.ID = m.MovedFrom
		return nil
	}
	if m.Left != nil {
		// Of us my_chat_member tells; of other bots nothing is kept. Who took them out does not matter.
		if u.kind == updMessage && !placeholder(*m.Left) && m.Left.ID != 0 {
			gone := person(*m.Left)
			r.Kind, r.Gone = chat.KindLeft, &gone
		}
		return nil
	}
	r.Message = m.ID
	if m.From != nil {
		r.From = person(*m.From)
	}
	if m.ReplyTo != nil && m.ReplyTo.From != nil && m.ReplyTo.From.IsBot && m.ReplyTo.From.ID == me.ID {
		r.ReplyTo = m.ReplyTo.ID
	}
	if err := content(r, &m, me); err != nil {
		return err
	}
	switch {
	case u.kind == updEdited && r.Point != nil && m.From != nil && !m.From.IsBot && !nobody(&m): // a live location that moved, or ended
		r.Kind, r.At = chat.KindFix, r.Got
		stamp(r, m.EditDate)
	case u.kind == updEdited:
		r.Kind = chat.KindEdited
		stamp(r, m.EditDate)
	case r.Kind == chat.KindOther:
	case nobody(&m):
		r.Kind = chat.KindUnlisted
		r.From = chat.Person{}
		if m.SenderAs != nil {
			r.From.Name = m.SenderAs.Title
		}
	case m.From == nil:
		return errNoPerson
	case m.From.IsBot:
		r.Kind = chat.KindOther // two bots that answer each other never stop
	}
	return nil
}

// forEver is the live period of a location that is shared until further notice (Bot API, Location).
const forEver = 0x7FFFFFFF

// content reads what a message says. Kind stays KindOther when it says nothing we act on.
func content(r *chat.Request, m *message, me Me) error {
	forwarded := len(m.Forwarded) > 0 && string(m.Forwarded) != "null"
	if m.Location != nil {
		lat, lon := m.Location.Latitude, m.Location.Longitude
		if !(lat >= -90 && lat <= 90 && lon >= -180 && lon <= 180) {
			return errOffGlobe
		}
		r.Kind = chat.KindPlace
		r.Point = &chat.Point{Lat: lat, Lon: lon, Forwarded: forwarded}
		if p := m.Location.LivePeriod; p > 0 {
			// r.At is still the date of the first message, from which the period counts; an edit keeps it.
			r.Point.LiveUntil = r.At.Add(time.Duration(min(p, forEver)) * time.Second)
		}
		return nil
	}
	text, entities := m.Text, m.Entities
	if text == "" {
		text, entities = m.Caption, m.CaptionEs
	}
	r.Photo = largest(m.Photo)
	if d := m.Document; d != nil && d.ID != "" {
		r.File = &chat.File{ID: d.ID, Name: d.Name, Type: d.Type, Size: d.Size}
	}
	if text == "" && r.Photo == "" && r.File == nil {
		return nil
	}
	text, ours := addressed(text, entities, me.Username)
	r.Text = text
	if ours && !forwarded {
		r.Kind = chat.KindText
	}
	return nil
}

func decodeTap(r *chat.Request, u envelope) error {
	var t tap
	if err := json.Unmarshal(u.body, &t); err != nil {
		return jsonTrouble(err)
	}
	if t.From.ID == 0 {
		return errNoPerson
	}
	r.TapID = t.ID // to be answered, whatever it is
	if t.Message == nil || t.Message.Chat.ID == 0 {
		r.From = person(t.From)
		r.Place.ID, _ = u.chatID() // a button on a message sent inline, which we never do
		return nil
	}
	if r.Kind = chat.KindTap; placeholder(t.From) {
		r.Kind = chat.KindUnlisted
	} else {
		r.From = person(t.From)
	}
	r.Place = place(t.Message.Chat, t.Message)
	r.Message = t.Message.ID
	r.Data = t.Data
	return nil
}

// decodeMembership tells whether we can speak in a chat now. Being muted is as good as being
// removed: no alert gets through either way. A change of rank is nothing we act on.
func decodeMembership(r *chat.Request, u envelope) error {
	var m membership
	if err := json.Unmarshal(u.body, &m); err != nil {
		return jsonTrouble(err)
	}
	if m.Chat.ID == 0 {
		return errNoChat
	}
	stamp(r, m.Date)
	r.Place = place(m.Chat, nil)
	if !placeholder(m.From) {
		r.From = person(m.From)
	}
	now, err := m.New.speaks()
	if err != nil {
		return err
	}
	if m.Chat.Type == models.ChatTypeChannel {
		return nil
	}
	if !now {
		r.Kind = chat.KindRemoved
		return nil
	}
	if before, err := m.Old.speaks(); err != nil || !before {
		r.Kind = chat.KindAdded
	}
	return nil
}

func (s standing) speaks() (bool, error) {
	switch s.Status {
	case models.ChatMemberTypeOwner, models.ChatMemberTypeAdministrator, models.ChatMemberTypeMember:
		return true, nil
	case models.ChatMemberTypeRestricted:
		return s.IsMember && s.CanSend, nil
	case models.ChatMemberTypeLeft, models.ChatMemberTypeBanned:
		return false, nil
	}
	return false, fmt.Errorf("unknown kind of member %q", s.Status)
}

// stamp sets At to a date of the service. Its clock may run ahead of ours; what was done cannot
// have been done after we heard of it.
func stamp(r *chat.Request, unix int64) {
	if unix <= 0 {
		return
	}
	if at := time.Unix(unix, 0).UTC(); at.Before(r.Got) {
		r.At = at
	}
}

func place(c models.Chat, m *message) chat.Place {
	p := chat.Place{ID: c.ID, Group: c.Type != models.ChatTypePrivate, Title: c.Title}
	// Outside forums message_thread_id is only the root of a chain of replies: sending there fails.
	if m != nil && m.InTopic {
		p.Thread = m.Thread
	}
	return p
}

func person(u models.User) chat.Person {
	name := strings.TrimSpace(u.FirstName + " " + u.LastName)
	if name == "" && u.Username != "" {
		name = "@" + u.Username
	}
	return chat.Person{ID: u.ID, Name: name, Language: u.LanguageCode}
}

// Senders that stand for no person: anonymous admins, people who post as a channel, and posts
// that a linked channel forwards by itself. Their ids are the same in every chat.
const (
	anonymousAdmin int64 = 1087968824
	postsAsChannel int64 = 136817688
	channelForward int64 = 777000
)

func nobody(m *message) bool {
	if m.SenderAs != nil || m.AutoFwd {
		return true
	}
	return m.From != nil && slices.Contains(placeholders, m.From.ID)
}

var placeholders = []int64{anonymousAdmin, postsAsChannel, channelForward}

// placeholder says whether a user is none of one's own: what one of them said, all of them would have said. Bots press
// no buttons and add nobody to groups.
func placeholder(u models.User) bool { return u.IsBot || slices.Contains(placeholders, u.ID) }

func largest(sizes []models.PhotoSize) (id string) {
	most := -1
	for _, s := range sizes {
		if a := s.Width * s.Height; a > most {
			most, id = a, s.FileID
		}
	}
	return id
}
