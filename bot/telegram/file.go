package telegram

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"

	"github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"ledgehand/bot/chat"
)

// postFile sends a file. Words that do not fit under it go ahead of it as messages of their own, so that the file,
// and the buttons with it, comes last.
func (s *Sender) postFile(ctx context.Context, m chat.Message) chat.Sent {
	d := newDraft(m, m.Text)
	if Length(m.Text) > chat.MaxCaption {
		words := m
		words.File, words.Buttons, words.AskReply, words.AskPlace = nil, nil, "", ""
		if v := s.post(ctx, words); v.Result != chat.ResultSent {
			return v
		}
		d.text, d.reply = "", 0
	}
	d.keys = markup(m)
	return s.insist(ctx, &d, func(ctx context.Context, d *draft) error {
		_, err := s.api.SendDocument(ctx, &bot.SendDocumentParams{
			ChatID: d.to, MessageThreadID: d.thread, Caption: d.text, ParseMode: d.mode,
			Document:                    &models.InputFileUpload{Filename: plainName(m.File.Name, "file"), Data: bytes.NewReader(m.File.Data)},
			DisableContentTypeDetection: true,
			DisableNotification:         d.quiet, ReplyParameters: replyTo(d.reply), ReplyMarkup: d.keys,
		})
		return err
	}).Sent
}

// Fetch reads a file that somebody sent, by its reference. Telegram keeps the address for an hour at least; what it
// says of the size is checked while reading. Errors never hold the address, for the token is part of it.
func (s *Sender) Fetch(ctx context.Context, id string) ([]byte, error) {
	ctx, cancel := context.WithTimeout(ctx, s.timeout)
	defer cancel()
	ctx, a := withAttempt(ctx)
	f, err := s.api.GetFile(ctx, &bot.GetFileParams{FileID: id})
	if err != nil {
		err = callError("ask for a file", err, a, s.token)
		switch {
		case strings.Contains(strings.ToLower(a.answer.Description), "file is too big"):
			return nil, fmt.Errorf("%w: %w", chat.ErrFileTooBig, err)
		case a.answer.Code == http.StatusBadRequest:
			return nil, fmt.Errorf("%w: %w", chat.ErrFileGone, err)
		}
		return nil, err
	}
	if f.FileSize > chat.MaxFile {
		return nil, fmt.Errorf("fetch a file of %d bytes: %w", f.FileSize, chat.ErrFileTooBig)
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, s.api.FileDownloadLink(f), nil)
	if err != nil {
		return nil, errors.New("fetch a file: its address cannot be read")
	}
	res, err := s.client.Do(req)
	if err != nil {
		return nil, fmt.Errorf("fetch a file: %s", redact(err.Error(), s.token))
	}
	defer res.Body.Close()
	switch {
	case res.StatusCode == http.StatusNotFound:
		return nil, fmt.Errorf("fetch a file: %w", chat.ErrFileGone)
	case res.StatusCode != http.StatusOK:
		return nil, fmt.Errorf("fetch a file: the server answered %d", res.StatusCode)
	}
	data, err := io.ReadAll(io.LimitReader(res.Body, chat.MaxFile+1))
	if err != nil {
		return nil, fmt.Errorf("read a file: %s", redact(err.Error(), s.token))
	}
	if len(data) > chat.MaxFile {
		return nil, fmt.Errorf("read a file: %w", chat.ErrFileTooBig)
	}
	return data, nil
}
