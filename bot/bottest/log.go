package bottest

import (
	"fmt"
	"strings"
	"time"

	"ledgehand/bot/chat"
)

// Post is a message of the bot as it stands now.
type Post struct {
	Chat     int64
	ID       int
	Thread   int
	ReplyTo  int
	HTML     string // as sent
	Text     string // as read
	Buttons  [][]chat.Button
	Picture  []byte // PNG, nil for none
	File     []byte // nil for none
	FileName string
	Quiet    bool
	AskReply string // the hint in the reply box it opened
	AskPlace string // the label of the location key it showed
	Date     time.Time
	Edited   time.Time // zero: never
}

// Messages are the bot's messages in a chat, oldest first, without those deleted.
func (s *Server) Messages(chatID int64) []Post {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.rooms[chatID]
	if r == nil {
		return nil
	}
	var out []Post
	for _, l := range r.messages {
		if l.from != nil || l.deleted || l.extra != nil {
			continue
		}
		p := Post{
			Chat: chatID, ID: l.id, Thread: l.thread, ReplyTo: l.replyTo, HTML: l.text.html, Text: l.text.plain,
			Buttons: l.buttons, Picture: l.picture, File: l.file, FileName: l.fileName, Quiet: l.quiet, Date: l.date, Edited: l.edited,
		}
		if l.board.Force {
			p.AskReply = l.board.Hint
		}
		for _, row := range l.board.Keys {
			for _, k := range row {
				if k.Location {
					p.AskPlace = k.Text
				}
			}
		}
		out = append(out, p)
	}
	return out
}

// What is what happened.
type What string

// What can happen in a chat.
const (
	Wrote    What = "wrote"    // a person's line, Text
	Tapped   What = "tapped"   // a person pressed the button labelled Text
	Placed   What = "placed"   // a person sent a location, Text being its coordinates
	Pictured What = "pictured" // a person sent a photo with caption Text
	Filed    What = "filed"    // a person sent a file with caption Text
	Reworded What = "reworded" // a person edited a line
	Joined   What = "joined"   // the bot was added, unblocked, unmuted or started
	Left     What = "left"     // the bot was removed, blocked or muted
	Moved    What = "moved"    // the group became a supergroup, Text being its new id
	Posted   What = "posted"   // the bot's message
	Changed  What = "changed"  // the bot edited a message
	Deleted  What = "deleted"  // the bot deleted a message
	Answered What = "answered" // the bot answered a tap of To with a toast, or a box if Loud
	Busy     What = "busy"     // the bot shows that it is at work
)

// Event is one line of the transcript.
type Event struct {
	At      time.Time
	Chat    int64
	Title   string // of a group
	Who     string // name
	Bot     bool   // it was the bot
	To      string // with Answered
	What    What
	Message int
	Text    string // plain
	HTML    string // the bot's messages as sent
	Buttons [][]chat.Button
	Picture []byte
	Quiet   bool
	Loud    bool
	Unseen  bool // privacy mode hides it from the bot
}

// Transcript is everything that happened, in order of time.
func (s *Server) Transcript() []Event {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]Event(nil), s.events...)
}

// String is the event as a line of a story.
func (e Event) String() string {
	where := "private"
	if e.Chat < 0 {
		where = e.Title
	}
	text := strings.ReplaceAll(e.Text, "\n", "\n    ")
	switch e.What {
	case Wrote, Posted:
	case Answered:
		text = "(to " + e.To + ") " + text
	default:
		text = "(" + string(e.What) + ") " + text
	}
	if e.Picture != nil {
		text = "(picture) " + text
	}
	for _, row := range e.Buttons {
		text += "\n   "
		for _, b := range row {
			text += " [" + b.Label + "]"
		}
	}
	return fmt.Sprintf("[%s] %s, %s> %s", e.At.Format("Mon 15:04"), where, e.Who, text)
}

func (s *Server) event(e Event) {
	e.At = s.now()
	if r := s.rooms[e.Chat]; r != nil {
		e.Title = r.title
	}
	s.events = append(s.events, e)
}

// note records what became of a line.
func (s *Server) note(r *room, l *line, w What) {
	e := Event{Chat: r.id, Who: BotName, Bot: true, What: w, Message: l.id, Text: l.shown(), Buttons: l.buttons, Picture: l.picture, Quiet: l.quiet}
	if l.from != nil {
		e.Who, e.Bot = l.from.name, false
	} else {
		e.HTML = l.text.html
	}
	s.event(e)
}

// shown is a message's text; of one with a file the file's name too.
func (l *line) shown() string {
	if l.fileName == "" {
		return l.text.plain
	}
	return "[file " + l.fileName + "] " + l.text.plain
}
