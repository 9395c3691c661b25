package telegram

import (
	"bytes"
	"context"

	"github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"ledgehand/bot/chat"
)

// edit changes a message of ours. A message can only grow to what one message holds: longer text
// is cut, but a picture whose text does not fit under it is reported as gone, so that both are
// posted anew rather than an old picture left standing over new words.
func (s *Sender) edit(ctx context.Context, m chat.Message, id int) chat.Sent {
	d := newDraft(m, m.Text)
	d.keys = keys(m.Buttons)
	var v verdict
	switch {
	case m.Picture != nil && Length(m.Text) > chat.MaxCaption:
		return chat.Sent{Result: chat.ResultGone, Why: "a picture with a text longer than a caption cannot be edited"}
	case m.Picture != nil:
		s.show(&d, m.Picture)
		v = s.insist(ctx, &d, s.editMedia(id))
		if v.Result == chat.ResultRefused && badPicture(v.complaint) {
			v.Result, v.Why = chat.ResultGone, "picture not taken: "+v.Why // posting anew knows what to do without
		}
	default:
		d.text = Cut(m.Text, chat.MaxText)
		v = s.insist(ctx, &d, s.editText(id))
		if v.Result == chat.ResultRefused && has(v.complaint, "there is no text in the message to edit") {
			if Length(m.Text) > chat.MaxCaption {
				return chat.Sent{Result: chat.ResultGone, Why: "the text is longer than a caption"}
			}
			v = s.insist(ctx, &d, s.editCaption(id))
		}
	}
	if v.Result == chat.ResultSent || v.Result == chat.ResultSame {
		v.Message = id
	}
	return v.Sent
}

func (s *Sender) editText(id int) func(context.Context, *draft) error {
	return func(ctx context.Context, d *draft) error {
		_, err := s.api.EditMessageText(ctx, &bot.EditMessageTextParams{
			ChatID: d.to, MessageID: id, Text: d.text, ParseMode: d.mode,
			LinkPreviewOptions: &models.LinkPreviewOptions{IsDisabled: bot.True()}, ReplyMarkup: d.keys,
		})
		return err
	}
}

func (s *Sender) editCaption(id int) func(context.Context, *draft) error {
	return func(ctx context.Context, d *draft) error {
		_, err := s.api.EditMessageCaption(ctx, &bot.EditMessageCaptionParams{
			ChatID: d.to, MessageID: id, Caption: d.text, ParseMode: d.mode, ReplyMarkup: d.keys,
		})
		return err
	}
}

func (s *Sender) editMedia(id int) func(context.Context, *draft) error {
	return func(ctx context.Context, d *draft) error {
		photo := &models.InputMediaPhoto{Media: d.fileID, Caption: d.text, ParseMode: d.mode}
		if d.fileID == "" {
			photo.Media, photo.MediaAttachment = "attach://picture.png", bytes.NewReader(d.picture.PNG)
		}
		_, err := s.api.EditMessageMedia(ctx, &bot.EditMessageMediaParams{ChatID: d.to, MessageID: id, Media: photo, ReplyMarkup: d.keys})
		return err
	}
}
