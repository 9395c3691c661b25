package bot

import (
	"errors"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
)

// fetch reads the file that came with a request, and tells whoever sent it when that cannot be done: it is too large or not
// there any more. Trouble on the way is an error, and the request is tried again. Only in requests that Desk.Slow says are slow.
func (a *ask) fetch() (data []byte, ok bool, err error) {
	f := a.r.File
	if f.Size <= chat.MaxFile {
		data, err = a.Sender.Fetch(a.ctx, f.ID)
	} else {
		err = chat.ErrFileTooBig
	}
	switch {
	case errors.Is(err, chat.ErrFileTooBig):
		return nil, false, a.say("file_too_big")
	case errors.Is(err, chat.ErrFileGone):
		return nil, false, a.say("file_gone")
	case err != nil:
		return nil, false, err
	}
	return data, true, nil
}

// sendFile answers with a file, and a text under it.
func (a *ask) sendFile(tx *session.Tx, text string, d chat.Document, rows ...[]chat.Button) {
	a.post(tx, "", session.Slow, chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, ReplyTo: a.r.Message, Text: text, Buttons: rows, File: &d})
}

// sendFilePrivately sends somebody a file in their private chat, whoever reads the chat they asked in.
func (a *ask) sendFilePrivately(tx *session.Tx, to int64, text wording.HTML, d chat.Document) {
	a.post(tx, "", session.Slow, chat.Message{To: to, Text: string(text), File: &d})
}
