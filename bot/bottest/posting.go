package bottest

import (
	"bytes"
	"context"
	"encoding/json"
	"image/png"
	"regexp"
	"strings"
	"time"
	"unicode/utf8"

	"ledgehand/bot/chat"
)

// post reads what all ways of sending have in common.
func (s *Server) post(p params, l *line, textField, mode string, limit int, what string) (any, *refusal) {
	r, no := s.target(p)
	if no != nil {
		return nil, no
	}
	if !utf8.ValidString(p.str(textField)) {
		return nil, bad("strings must be encoded in UTF-8")
	}
	if l.text, no = readText(p.str(textField), mode, limit, what); no != nil {
		return nil, no
	}
	if l.picture == nil && l.file == nil && l.text.plain == "" {
		return nil, bad("message text is empty")
	}
	if l.board, l.buttons, no = readKeyboard(p, r.id > 0); no != nil {
		return nil, no
	}
	if l.thread = p.int("message_thread_id"); l.thread != 0 && !r.topics[l.thread] {
		return nil, bad("message thread not found")
	}
	var reply struct {
		ID      int  `json:"message_id"`
		Without bool `json:"allow_sending_without_reply"`
	}
	if ok, no := p.object("reply_parameters", &reply); no != nil {
		return nil, no
	} else if ok {
		switch {
		case r.line(reply.ID) != nil:
			l.replyTo = reply.ID
		case !reply.Without:
			return nil, bad("message to be replied not found")
		}
	}
	if no := s.floods(r); no != nil {
		return nil, no
	}
	l.quiet = p.flag("disable_notification")
	if l.picture != nil {
		l.fileID = s.newFileID(l.picture)
	}
	s.newLine(r, l)
	s.note(r, l, Posted)
	return s.messageJSON(r, l), nil
}

func (s *Server) sendMessage(_ context.Context, p params) (any, *refusal) {
	return s.post(p, &line{}, "text", p.str("parse_mode"), chat.MaxText, "message")
}

func (s *Server) sendPhoto(_ context.Context, p params) (any, *refusal) {
	file, no := s.photo(p.files["photo"], p.str("photo"))
	if no != nil {
		return nil, no
	}
	return s.post(p, &line{picture: file}, "caption", p.str("parse_mode"), chat.MaxCaption, "message caption")
}

// Limits on photos (Bot API, sendPhoto).
const (
	mostPhotoBytes = 10 << 20
	mostPhotoSides = 10000
	mostPhotoRatio = 20
)

// photo is the picture that a call uploads, or that it names by id.
func (s *Server) photo(file []byte, id string) ([]byte, *refusal) {
	if len(file) == 0 && id != "" {
		if known := s.pictures[id]; known != nil {
			return known, nil
		}
		return nil, bad("wrong file identifier/HTTP URL specified") // yagop/node-telegram-bot-api #184 and many
	}
	if len(file) == 0 {
		return nil, bad("there is no photo in the request")
	}
	s.uploads++
	if len(file) > mostPhotoBytes {
		return nil, bad("file is too big")
	}
	c, err := png.DecodeConfig(bytes.NewReader(file))
	if err != nil {
		return nil, bad("IMAGE_PROCESS_FAILED")
	}
	if c.Width+c.Height > mostPhotoSides || c.Width > mostPhotoRatio*c.Height || c.Height > mostPhotoRatio*c.Width {
		return nil, bad("PHOTO_INVALID_DIMENSIONS")
	}
	return file, nil
}

// own finds the message of the bot that a call is to change. In a group that moved this still works.
func (s *Server) own(p params) (*room, *line, *refusal) {
	r := s.rooms[p.id("chat_id")]
	if r == nil || r.movedTo == 0 {
		var no *refusal
		if r, no = s.target(p); no != nil {
			return nil, nil, no
		}
	}
	l := r.line(p.int("message_id"))
	if l == nil {
		return nil, nil, bad("message to edit not found")
	}
	if l.from != nil {
		return nil, nil, bad("message can't be edited")
	}
	return r, l, nil
}

// change replaces a message unless nothing about it changes.
func (s *Server) change(p params, r *room, l *line, text formatted, picture []byte) (any, *refusal) {
	k, buttons, no := readKeyboard(p, r.id > 0)
	if no != nil {
		return nil, no
	}
	if k.Force || len(k.Keys) > 0 || k.Remove {
		return nil, bad("message can't be edited")
	}
	if text.key() == l.text.key() && same(buttons, l.buttons) && picture == nil {
		return nil, bad("message is not modified: specified new message content and reply markup are exactly the same as a current content and reply markup of the message")
	}
	if no := s.floods(r); no != nil { // edits in a group count as messages
		return nil, no
	}
	l.text, l.buttons, l.edited = text, buttons, s.now()
	if picture != nil {
		l.picture, l.fileID = picture, s.newFileID(picture)
	}
	s.note(r, l, Changed)
	return s.messageJSON(r, l), nil
}

func same(a, b [][]chat.Button) bool {
	x, errA := json.Marshal(a)
	y, errB := json.Marshal(b)
	return errA == nil && errB == nil && bytes.Equal(x, y)
}

func (s *Server) editMessageText(_ context.Context, p params) (any, *refusal) {
	r, l, no := s.own(p)
	if no != nil {
		return nil, no
	}
	if l.picture != nil {
		return nil, bad("there is no text in the message to edit")
	}
	text, no := readText(p.str("text"), p.str("parse_mode"), chat.MaxText, "message")
	if no != nil {
		return nil, no
	}
	if text.plain == "" {
		return nil, bad("message text is empty")
	}
	return s.change(p, r, l, text, nil)
}

func (s *Server) editMessageCaption(_ context.Context, p params) (any, *refusal) {
	r, l, no := s.own(p)
	if no != nil {
		return nil, no
	}
	if l.picture == nil {
		return nil, bad("there is no caption in the message to edit")
	}
	text, no := readText(p.str("caption"), p.str("parse_mode"), chat.MaxCaption, "message caption")
	if no != nil {
		return nil, no
	}
	return s.change(p, r, l, text, nil)
}

func (s *Server) editMessageMedia(_ context.Context, p params) (any, *refusal) {
	r, l, no := s.own(p)
	if no != nil {
		return nil, no
	}
	var media struct {
		Type    string `json:"type"`
		Media   string `json:"media"`
		Caption string `json:"caption"`
		Mode    string `json:"parse_mode"`
	}
	if ok, no := p.object("media", &media); no != nil || !ok || media.Type != "photo" {
		return nil, bad("can't parse InputMedia")
	}
	name, attached := strings.CutPrefix(media.Media, "attach://")
	id := media.Media
	if attached {
		id = ""
	}
	file, no := s.photo(p.files[name], id)
	if no != nil {
		return nil, no
	}
	text, no := readText(media.Caption, media.Mode, chat.MaxCaption, "message caption")
	if no != nil {
		return nil, no
	}
	return s.change(p, r, l, text, file)
}

func (s *Server) editMessageReplyMarkup(_ context.Context, p params) (any, *refusal) {
	r, l, no := s.own(p)
	if no != nil {
		return nil, no
	}
	return s.change(p, r, l, l.text, nil)
}

// deletable is how young a message must be to be deleted (Bot API, deleteMessage).
const deletable = 48 * time.Hour

func (s *Server) deleteMessage(_ context.Context, p params) (any, *refusal) {
	r, no := s.target(p)
	if no != nil {
		return nil, no
	}
	l := r.line(p.int("message_id"))
	switch {
	case l == nil:
		return nil, bad("message to delete not found")
	case l.from != nil && r.bot != "administrator" && r.id < 0, s.now().Sub(l.date) >= deletable:
		return nil, bad("message can't be deleted")
	}
	l.deleted = true
	s.note(r, l, Deleted)
	return true, nil
}

// query is a tap that waits for its answer.
type query struct {
	who      *human
	room     *room
	line     *line
	at       time.Time
	answered bool
}

const mostToast = 200

func (s *Server) answerCallbackQuery(_ context.Context, p params) (any, *refusal) {
	q := s.taps[p.str("callback_query_id")]
	if q == nil || q.answered || s.now().Sub(q.at) >= keepsTaps {
		return nil, bad("query is too old and response timeout expired or query ID is invalid")
	}
	text := p.str("text")
	if length(text) > mostToast {
		return nil, bad("MESSAGE_TOO_LONG")
	}
	q.answered = true
	s.event(Event{Chat: q.room.id, Who: BotName, Bot: true, To: q.who.name, What: Answered, Message: q.line.id, Text: text, Loud: p.flag("show_alert")})
	return true, nil
}

// Command is one entry of the command list the bot registered.
type Command struct {
	Command     string `json:"command"`
	Description string `json:"description"`
}

// languageCode is "a two-letter ISO 639-1 language code" (Telegram Bot API, setMyCommands).
var languageCode = regexp.MustCompile(`^[a-z]{2}$`)

var commandName = regexp.MustCompile(`^[a-z0-9_]{1,32}$`)

func (s *Server) setMyCommands(_ context.Context, p params) (any, *refusal) {
	var list []Command
	if _, no := p.object("commands", &list); no != nil {
		return nil, no
	}
	for _, c := range list {
		if !commandName.MatchString(c.Command) {
			return nil, bad("BOT_COMMAND_INVALID")
		}
		if n := len([]rune(c.Description)); n < 1 || n > 256 {
			return nil, bad("BOT_COMMAND_DESCRIPTION_INVALID")
		}
	}
	if len(list) > 100 {
		return nil, bad("BOT_COMMANDS_TOO_MUCH")
	}
	language := p.str("language_code")
	if language != "" && !languageCode.MatchString(language) {
		return nil, bad("invalid language code specified") // from memory
	}
	s.commands[language] = list
	return true, nil
}

// Commands is the list registered for a language, "" being the one for everybody else.
func (s *Server) Commands(language string) []Command {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.commands[language]
}

func (s *Server) sendChatAction(_ context.Context, p params) (any, *refusal) {
	r, no := s.target(p)
	if no != nil {
		return nil, no
	}
	s.event(Event{Chat: r.id, Who: BotName, Bot: true, What: Busy, Text: p.str("action")})
	return true, nil
}
