package bottest

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
)

// How is a particular of something a person sends.
type How func(s *Server, r *room, l *line)

// ReplyTo makes it an answer to a message.
func ReplyTo(message int) How {
	return func(_ *Server, r *room, l *line) {
		if r.line(message) == nil {
			panic(fmt.Sprintf("bottest: chat %d has no message %d to reply to", r.id, message))
		}
		l.replyTo = message
	}
}

// InTopic sends it to a topic.
func InTopic(thread int) How {
	return func(_ *Server, r *room, l *line) {
		if !r.topics[thread] {
			panic(fmt.Sprintf("bottest: chat %d has no topic %d", r.id, thread))
		}
		l.thread = thread
	}
}

// Forwarded makes it something that somebody else wrote first.
func Forwarded(from string) How {
	return func(s *Server, _ *room, l *line) {
		l.set("forward_origin", map[string]any{"type": "hidden_user", "date": s.now().Unix() - 60, "sender_user_name": from})
	}
}

// Anonymous sends it as an anonymous administrator of the group.
func Anonymous() How {
	return func(s *Server, r *room, l *line) {
		l.set("sender_chat", s.roomJSON(r))
		l.set("from", map[string]any{"id": 1087968824, "is_bot": true, "first_name": "Group", "username": "GroupAnonymousBot"})
	}
}

// Live shares a moving location for a while; MovePlace moves it.
func Live(d time.Duration) How {
	return func(_ *Server, _ *room, l *line) { l.live = d }
}

// Ago makes it something written a while before: it waited at Telegram.
func Ago(d time.Duration) How {
	return func(s *Server, _ *room, l *line) { l.set("date", s.now().Add(-d).Unix()) }
}

func (l *line) set(field string, v any) {
	if l.extra == nil {
		l.extra = map[string]any{}
	}
	l.extra[field] = v
}

// Write is a person writing a line. It returns the message's id. In a group the bot sees it only
// where privacy mode lets it.
func (s *Server) Write(chatID, person int64, text string, how ...How) int {
	return s.say(chatID, person, Wrote, &line{text: written(text)}, how)
}

// WriteReply is a person answering a message.
func (s *Server) WriteReply(chatID, person int64, to int, text string, how ...How) int {
	return s.Write(chatID, person, text, append([]How{ReplyTo(to)}, how...)...)
}

// SendPhoto is a person sending a photo.
func (s *Server) SendPhoto(chatID, person int64, caption string, how ...How) int {
	s.mu.Lock()
	id := s.newFileID(nil)
	s.mu.Unlock()
	return s.say(chatID, person, Pictured, &line{text: written(caption), fileID: id}, how)
}

// SendFile is a person sending a file. The bot can fetch it.
func (s *Server) SendFile(chatID, person int64, caption, name string, data []byte, how ...How) int {
	s.mu.Lock()
	l := &line{text: written(caption), fileName: name, file: data}
	s.keep(l)
	s.mu.Unlock()
	return s.say(chatID, person, Filed, l, how)
}

// SendPlace is a person sending a location, degrees north and east.
func (s *Server) SendPlace(chatID, person int64, lat, lon float64, how ...How) int {
	l := &line{}
	l.set("location", map[string]any{"latitude": lat, "longitude": lon})
	return s.say(chatID, person, Placed, l, how)
}

func written(text string) formatted {
	return formatted{html: escape(text), plain: text, entities: found(text)}
}

func (s *Server) say(chatID, person int64, what What, l *line, how []How) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, who := s.member(chatID, person)
	if chatID > 0 && (!who.started || who.blocked) {
		panic(fmt.Sprintf("bottest: %s has no open chat with the bot: Start it first", who.name))
	}
	if r.movedTo != 0 {
		panic(fmt.Sprintf("bottest: nobody can write in chat %d any more, it is %d now", chatID, r.movedTo))
	}
	l.from = who
	spoke := r.botSpoke
	for _, h := range how {
		h(s, r, l)
	}
	if place, ok := l.extra["location"].(map[string]any); ok && l.live > 0 {
		place["live_period"] = int(l.live / time.Second)
	}
	s.newLine(r, l)
	seen := s.sees(r, l, spoke)
	e := Event{Chat: chatID, Who: who.name, What: what, Message: l.id, Text: l.text.plain, Unseen: !seen}
	if what == Placed {
		e.Text = where(l)
	}
	s.event(e)
	if seen {
		s.push("message", s.messageJSON(r, l))
	}
	return l.id
}

func where(l *line) string {
	p := l.extra["location"].(map[string]any)
	return fmt.Sprintf("%.4f, %.4f", p["latitude"], p["longitude"])
}

// sees is privacy mode (Telegram's features page, "Privacy mode"): /cmd@bot always, plain /cmd if
// the bot was the last to speak, answers to its messages.
func (s *Server) sees(r *room, l *line, spoke bool) bool {
	switch {
	case r.id > 0:
		return true
	case r.bot != "member" && r.bot != "administrator" && r.bot != "restricted":
		return false
	case !s.privacy || r.bot == "administrator":
		return true
	}
	if to := r.line(l.replyTo); to != nil && to.from == nil {
		return true
	}
	for _, e := range l.text.entities {
		if e.Type == "bot_command" && e.Offset == 0 {
			_, to, named := strings.Cut(l.text.plain[:e.Length], "@")
			return named && strings.EqualFold(to, BotUsername) || !named && spoke
		}
	}
	return false
}

// Edit is a person changing what they wrote.
func (s *Server) Edit(chatID, person int64, message int, text string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, who, l := s.ownLine(chatID, person, message)
	l.text, l.edited = written(text), s.now()
	l.set("edit_date", l.edited.Unix())
	seen := s.sees(r, l, r.botSpoke)
	s.event(Event{Chat: chatID, Who: who.name, What: Reworded, Message: message, Text: text, Unseen: !seen})
	if seen {
		s.push("edited_message", s.messageJSON(r, l))
	}
}

// MovePlace moves a live location; stop ends it.
func (s *Server) MovePlace(chatID, person int64, message int, lat, lon float64, stop bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, who, l := s.ownLine(chatID, person, message)
	place := map[string]any{"latitude": lat, "longitude": lon}
	if stop || s.now().Sub(l.date) >= l.live {
		l.live = 0
	} else {
		place["live_period"] = int(l.live / time.Second)
	}
	l.set("location", place)
	l.edited = s.now()
	l.set("edit_date", l.edited.Unix())
	seen := s.sees(r, l, r.botSpoke)
	s.event(Event{Chat: chatID, Who: who.name, What: Placed, Message: message, Text: where(l), Unseen: !seen})
	if seen {
		s.push("edited_message", s.messageJSON(r, l))
	}
}

func (s *Server) ownLine(chatID, person int64, message int) (*room, *human, *line) {
	r, who := s.member(chatID, person)
	l := r.line(message)
	if l == nil || l.from != who {
		panic(fmt.Sprintf("bottest: message %d in chat %d is not %s's", message, chatID, who.name))
	}
	return r, who, l
}

// Tap presses a button under a message of the bot, named by its label or its data, and returns
// the id of the query. It fails when the message as it is shown now has no such button.
func (s *Server) Tap(chatID, person int64, message int, button string) (string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, who := s.member(chatID, person)
	l := r.line(message)
	if l == nil || l.from != nil {
		return "", fmt.Errorf("tap %q: chat %d has no message %d of the bot", button, chatID, message)
	}
	var labels []string
	for _, row := range l.buttons {
		for _, b := range row {
			if b.Copy == "" && (b.Label == button || b.Data == button) {
				return s.tap(r, who, l, b), nil
			}
			labels = append(labels, strconv.Quote(b.Label))
		}
	}
	slices.Sort(labels)
	return "", fmt.Errorf("tap %q: message %d has only %s", button, message, strings.Join(labels, ", "))
}

// Forge sends a tap with data that no button shows: from an old screen, or made up.
func (s *Server) Forge(chatID, person int64, message int, data string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, who := s.member(chatID, person)
	l := r.line(message)
	if l == nil {
		l = &line{id: message, deleted: true}
	}
	return s.tap(r, who, l, chat.Button{Label: data, Data: data})
}

func (s *Server) tap(r *room, who *human, l *line, b chat.Button) string {
	s.lastTap++
	id := strconv.FormatInt(4000000000000000+s.lastTap, 10)
	s.taps[id] = &query{who: who, room: r, line: l, at: s.now()}
	s.event(Event{Chat: r.id, Who: who.name, What: Tapped, Message: l.id, Text: b.Label})
	m := map[string]any{"chat": s.roomJSON(r), "message_id": l.id, "date": 0} // inaccessible
	if !l.deleted {
		m = s.messageJSON(r, l)
	}
	s.push("callback_query", map[string]any{
		"id": id, "from": who.json(), "message": m, "chat_instance": strconv.FormatInt(r.id, 10), "data": b.Data,
	})
	return id
}
