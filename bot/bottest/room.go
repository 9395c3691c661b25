package bottest

import (
	"bytes"
	"image/png"
	"strconv"
	"time"

	"ledgehand/bot/chat"
)

type human struct {
	id       int64
	name     string
	language string
	started  bool
	blocked  bool
	deleted  bool
}

func (h *human) json() map[string]any {
	u := map[string]any{"id": h.id, "is_bot": false, "first_name": h.name}
	if h.language != "" {
		u["language_code"] = h.language
	}
	return u
}

// room is a chat. A private chat has the id of its person.
type room struct {
	id       int64
	title    string
	members  map[int64]bool
	admins   []int64 // the owner first
	bot      string  // the bot's status as the Bot API words it; "" in private chats
	muted    bool
	movedTo  int64
	deleted  bool
	topics   map[int]bool
	forum    bool
	messages []*line
	last     int  // last message id of a supergroup
	botSpoke bool // of all bots it was the last to speak; people in between do not count
	sends    []time.Time
}

// Ids of supergroups lie below those of basic groups.
const supergroups int64 = -1000000000000

func (r *room) kind() string {
	switch {
	case r.id > 0:
		return "private"
	case r.id <= supergroups:
		return "supergroup"
	}
	return "group"
}

func (s *Server) roomJSON(r *room) map[string]any {
	c := map[string]any{"id": r.id, "type": r.kind()}
	if r.id > 0 {
		c["first_name"] = s.people[r.id].name
		return c
	}
	c["title"] = r.title
	if r.forum {
		c["is_forum"] = true
	}
	return c
}

// line is one message in a chat.
type line struct {
	id      int
	from    *human // nil: the bot
	date    time.Time
	edited  time.Time
	deleted bool
	thread  int
	replyTo int
	text    formatted
	picture []byte
	fileID  string

	file     []byte // a document
	fileName string
	fileRef  string

	buttons [][]chat.Button
	board   keyboard
	quiet   bool
	extra   map[string]any // fields of the message as it stands in updates
	live    time.Duration
}

func (r *room) line(id int) *line {
	for _, l := range r.messages {
		if l.id == id && !l.deleted {
			return l
		}
	}
	return nil
}

func (s *Server) newLine(r *room, l *line) *line {
	if r.id <= supergroups {
		r.last++
		l.id = r.last
	} else {
		s.shared++
		l.id = s.shared
	}
	l.date = s.now()
	r.messages = append(r.messages, l)
	if l.from == nil {
		r.botSpoke = true
	}
	return l
}

// messageJSON is a message as the Bot API shows it.
func (s *Server) messageJSON(r *room, l *line) map[string]any {
	m := s.bareMessageJSON(r, l)
	if to := r.line(l.replyTo); to != nil {
		m["reply_to_message"] = s.bareMessageJSON(r, to)
	}
	return m
}

func (s *Server) bareMessageJSON(r *room, l *line) map[string]any {
	m := map[string]any{"message_id": l.id, "date": l.date.Unix(), "chat": s.roomJSON(r)}
	if l.from != nil {
		m["from"] = l.from.json()
	} else {
		m["from"] = botUser()
	}
	if !l.edited.IsZero() {
		m["edit_date"] = l.edited.Unix()
	}
	if l.thread != 0 {
		m["message_thread_id"], m["is_topic_message"] = l.thread, true
	}
	text, entities := "text", "entities"
	if l.fileRef != "" {
		text, entities = "caption", "caption_entities"
		m["document"] = map[string]any{
			"file_id": l.fileRef, "file_unique_id": "u" + l.fileRef, "file_name": l.fileName, "file_size": len(l.file),
			"mime_type": "application/octet-stream", // what a phone says of a file it does not know
		}
	}
	if l.fileID != "" {
		text, entities = "caption", "caption_entities"
		m["photo"] = photoJSON(l)
	}
	if l.text.plain != "" {
		m[text] = l.text.plain
	}
	if len(l.text.entities) > 0 {
		m[entities] = l.text.entities
	}
	if len(l.buttons) > 0 {
		m["reply_markup"] = inlineJSON(l.buttons)
	}
	for k, v := range l.extra {
		m[k] = v
	}
	return m
}

// photoJSON gives the sizes Telegram makes of a photo: largest last.
func photoJSON(l *line) []map[string]any {
	w, h := 1280, 960
	if c, err := png.DecodeConfig(bytes.NewReader(l.picture)); err == nil {
		w, h = c.Width, c.Height
	}
	small := map[string]any{"file_id": l.fileID + "-s", "file_unique_id": "u" + l.fileID + "s", "width": max(w/4, 1), "height": max(h/4, 1), "file_size": 1000}
	large := map[string]any{"file_id": l.fileID + "-l", "file_unique_id": "u" + l.fileID + "l", "width": w, "height": h, "file_size": 20000}
	return []map[string]any{small, large}
}

// newFileID is a file id without its size's ending. Both sizes can be sent again as the picture.
func (s *Server) newFileID(png []byte) string {
	s.files++
	id := "photo" + strconv.Itoa(s.files)
	s.pictures[id+"-s"], s.pictures[id+"-l"] = png, png
	return id
}

// target is the chat a call names, if the bot can reach it.
func (s *Server) target(p params) (*room, *refusal) {
	id := p.id("chat_id")
	r := s.rooms[id]
	if r == nil {
		return nil, bad("chat not found")
	}
	if id > 0 {
		switch h := s.people[id]; {
		case h.deleted:
			return nil, forbidden("user is deactivated")
		case !h.started:
			return nil, forbidden("bot can't initiate conversation with a user")
		case h.blocked:
			return nil, forbidden("bot was blocked by the user")
		}
		return r, nil
	}
	if r.movedTo != 0 {
		return nil, &refusal{code: 400, text: "Bad Request: group chat was upgraded to a supergroup chat", migrateTo: r.movedTo}
	}
	switch {
	case r.deleted:
		return nil, forbidden("the group chat was deleted")
	case r.bot == "kicked":
		return nil, forbidden("bot was kicked from the " + r.kind() + " chat")
	case r.bot != "member" && r.bot != "administrator" && r.bot != "restricted":
		return nil, forbidden("bot is not a member of the " + r.kind() + " chat")
	case r.muted:
		return nil, bad("not enough rights to send text messages to the chat")
	}
	return r, nil
}

// room for one more message: groups take only so many a minute.
func (s *Server) floods(r *room) *refusal {
	if s.flood == 0 || r.id > 0 {
		return nil
	}
	now := s.now()
	recent := r.sends[:0:0]
	for _, t := range r.sends {
		if now.Sub(t) < time.Minute {
			recent = append(recent, t)
		}
	}
	r.sends = recent
	if len(recent) >= s.flood {
		s.flooded++
		after := int(recent[0].Add(time.Minute).Sub(now)/time.Second) + 1
		return &refusal{code: 429, text: "Too Many Requests: retry after " + strconv.Itoa(after), after: after}
	}
	r.sends = append(r.sends, now)
	return nil
}
