package telegram

import (
	"bytes"
	"context"
	"crypto/sha256"
	"strings"

	"github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"ledgehand/bot/chat"
)

// draft is a message in the making: what is left of it after Telegram's complaints.
type draft struct {
	to      int64
	thread  int
	reply   int
	text    string
	mode    models.ParseMode
	keys    models.ReplyMarkup
	quiet   bool
	dropped []string

	picture *chat.Picture
	sum     pictureSum
	fileID  string // "": to be uploaded
}

func newDraft(m chat.Message, text string) draft {
	return draft{to: m.To, thread: m.Thread, reply: m.ReplyTo, text: text, mode: models.ParseModeHTML, quiet: m.Quiet}
}

// show puts a picture into the draft, by id if Telegram has it.
func (s *Sender) show(d *draft, p *chat.Picture) {
	d.picture = p
	if p.Ref != "" {
		d.fileID = p.Ref
		return
	}
	d.sum = sha256.Sum256(p.PNG)
	d.fileID = s.known.find(d.sum)
}

// soften takes off what Telegram complained of. False when there is nothing left to take off.
func (d *draft) soften(complaint string) bool {
	switch {
	case badThread(complaint) && d.thread != 0:
		d.thread = 0
		d.dropped = append(d.dropped, "without its topic")
	case badReply(complaint) && d.reply != 0:
		d.reply = 0
		d.dropped = append(d.dropped, "not as a reply")
	case badMarkup(complaint) && d.mode != "":
		d.text, d.mode = Plain(d.text), ""
		d.dropped = append(d.dropped, "as plain text")
	case badKeys(complaint) && d.keys != nil:
		d.keys = nil
		d.dropped = append(d.dropped, "without its buttons")
	default:
		return false
	}
	return true
}

// strip takes off all but the words, for a complaint in words we do not know. False when there is nothing else.
func (d *draft) strip() bool {
	if d.thread == 0 && d.reply == 0 && d.mode == "" && d.keys == nil {
		return false
	}
	if d.mode != "" {
		d.text, d.mode = Plain(d.text), ""
	}
	d.thread, d.reply, d.keys = 0, 0, nil
	d.dropped = append(d.dropped, "with nothing but its words")
	return true
}

// insist calls until Telegram takes the draft or complains of something that cannot be taken off.
func (s *Sender) insist(ctx context.Context, d *draft, call func(context.Context, *draft) error) verdict {
	for {
		v := s.call(ctx, func(ctx context.Context) error { return call(ctx, d) })
		if v.Result == chat.ResultRefused && d.soften(v.complaint) {
			d.dropped[len(d.dropped)-1] += " (" + v.Why + ")"
			continue
		}
		if v.Result == chat.ResultRefused && d.fileID != "" && d.picture.Ref == "" {
			s.known.forget(d.sum) // whatever the complaint is: it may be of the id
			d.fileID = ""
			continue
		}
		if v.Result == chat.ResultRefused && !badPicture(v.complaint) && d.strip() {
			d.dropped[len(d.dropped)-1] += " (" + v.Why + ")"
			continue
		}
		if v.Result == chat.ResultSent && d.picture != nil && d.picture.Ref == "" {
			s.known.learn(d.sum, v.fileID)
		}
		if len(d.dropped) > 0 && v.Why == "" {
			v.Why = "sent " + strings.Join(d.dropped, ", ")
		}
		return v
	}
}

func (s *Sender) post(ctx context.Context, m chat.Message) chat.Sent {
	note, reply := "", true
	if m.File != nil {
		return s.postFile(ctx, m)
	}
	if m.Picture != nil {
		caption := m.Text
		if Length(caption) > chat.MaxCaption {
			caption = ""
		}
		d := newDraft(m, caption)
		if caption == m.Text {
			d.keys = markup(m)
		}
		s.show(&d, m.Picture)
		v := s.insist(ctx, &d, s.photo)
		switch {
		case v.Result == chat.ResultSent && caption == m.Text:
			return v.Sent
		case v.Result == chat.ResultSent:
			reply = false
		case v.Result == chat.ResultRefused, caption != m.Text && v.Result == chat.ResultUnknown:
			// The words matter more than the picture.
			note = "sent without its picture (" + v.Why + ")"
			if strings.TrimSpace(Plain(m.Text)) == "" {
				return v.Sent
			}
		default:
			return v.Sent
		}
	}
	pieces := Split(m.Text, chat.MaxText)
	var last verdict
	for i, text := range pieces {
		d := newDraft(m, text)
		if i > 0 || !reply {
			d.reply = 0
		}
		if i == len(pieces)-1 {
			d.keys = markup(m)
		}
		// When a later piece fails the whole is tried again: twice is better than half.
		if last = s.insist(ctx, &d, s.text); last.Result != chat.ResultSent {
			return last.Sent
		}
	}
	if note != "" {
		last.Why = strings.TrimSuffix(note+"; "+last.Why, "; ")
	}
	return last.Sent
}

func (s *Sender) text(ctx context.Context, d *draft) error {
	_, err := s.api.SendMessage(ctx, &bot.SendMessageParams{
		ChatID: d.to, MessageThreadID: d.thread, Text: d.text, ParseMode: d.mode,
		LinkPreviewOptions:  &models.LinkPreviewOptions{IsDisabled: bot.True()},
		DisableNotification: d.quiet, ReplyParameters: replyTo(d.reply), ReplyMarkup: d.keys,
	})
	return err
}

func (s *Sender) photo(ctx context.Context, d *draft) error {
	var file models.InputFile = &models.InputFileString{Data: d.fileID}
	if d.fileID == "" {
		file = &models.InputFileUpload{Filename: plainName(d.picture.Name, "picture.png"), Data: bytes.NewReader(d.picture.PNG)}
	}
	_, err := s.api.SendPhoto(ctx, &bot.SendPhotoParams{
		ChatID: d.to, MessageThreadID: d.thread, Photo: file, Caption: d.text, ParseMode: d.mode,
		DisableNotification: d.quiet, ReplyParameters: replyTo(d.reply), ReplyMarkup: d.keys,
	})
	return err
}

func replyTo(id int) *models.ReplyParameters {
	if id == 0 {
		return nil
	}
	return &models.ReplyParameters{MessageID: id, AllowSendingWithoutReply: true}
}
