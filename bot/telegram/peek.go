package telegram

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"github.com/go-telegram/bot/models"
)

// The kinds of update we ask for and act on; any other becomes chat.KindOther.
const (
	updMessage = models.AllowedUpdateMessage
	updEdited  = models.AllowedUpdateEditedMessage
	updTap     = models.AllowedUpdateCallbackQuery
	updMember  = models.AllowedUpdateMyChatMember
)

// What we ask for, always in full: Telegram remembers the last list it was given.
var wanted = []string{updMessage, updEdited, updTap, updMember}

// envelope is an update with its content still sealed.
type envelope struct {
	id   string
	kind string
	body json.RawMessage
}

var errNoID = errors.New("no update id")

// open reads an update's id and which kind it is. Exactly one kind is present by contract.
func open(raw []byte) (envelope, error) {
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(raw, &fields); err != nil {
		return envelope{}, fmt.Errorf("open update: %w", jsonTrouble(err))
	}
	var id int64
	if err := json.Unmarshal(fields["update_id"], &id); err != nil || id <= 0 {
		return envelope{}, fmt.Errorf("open update: %w", errNoID)
	}
	u := envelope{id: strconv.FormatInt(id, 10)}
	delete(fields, "update_id")
	for _, k := range []string{updMessage, updEdited, updTap, updMember} {
		if body, ok := fields[k]; ok {
			u.kind, u.body = k, body
			return u, nil
		}
	}
	kinds := make([]string, 0, len(fields))
	for k := range fields {
		kinds = append(kinds, k)
	}
	slices.Sort(kinds)
	if len(kinds) > 0 {
		u.kind, u.body = kinds[0], fields[kinds[0]]
	}
	return u, nil
}

// chatID is the chat an update belongs to, the person where it belongs to none, and 0 where
// there is neither. A migration belongs to the old id, whichever side tells of it.
func (u envelope) chatID() (int64, error) {
	type ref struct {
		ID int64 `json:"id"`
	}
	var b struct {
		Chat    ref `json:"chat"`
		Message *struct {
			Chat ref `json:"chat"`
		} `json:"message"`
		From      ref   `json:"from"`
		User      ref   `json:"user"`
		MovedFrom int64 `json:"migrate_from_chat_id"`
		MovedTo   int64 `json:"migrate_to_chat_id"`
	}
	if len(u.body) == 0 {
		return 0, nil
	}
	if err := json.Unmarshal(u.body, &b); err != nil {
		return 0, fmt.Errorf("find the chat of update %s: %w", u.id, jsonTrouble(err))
	}
	order := []int64{b.Chat.ID, b.From.ID, b.User.ID}
	switch {
	case u.kind == updTap:
		order = []int64{b.From.ID}
		if b.Message != nil {
			order = []int64{b.Message.Chat.ID, b.From.ID}
		}
	case (u.kind == updMessage || u.kind == updEdited) && b.Chat.ID != 0 && b.MovedTo == 0 && b.MovedFrom != 0:
		return b.MovedFrom, nil
	}
	for _, id := range order {
		if id != 0 {
			return id, nil
		}
	}
	return 0, nil
}

// Peek reads an update's id and the chat it belongs to, and nothing else, so that an update
// nobody can read can still be stored, in its place, before it is confirmed. The id is "" only
// when there is none to be read. The chat is the one Decode reports as Place.ID.
func Peek(raw []byte) (updateID string, chatID int64, err error) {
	u, err := open(raw)
	if err != nil {
		return "", 0, err
	}
	chatID, err = u.chatID()
	return u.id, chatID, err
}

// identify gives an update the id and the chat it is stored with. It always can: what has no number
// (0) is named after its content, so that it is known when it comes again. err says what Peek
// could not read.
func identify(raw []byte) (id string, number, chatID int64, err error) {
	id, chatID, err = Peek(raw)
	if id == "" {
		return fmt.Sprintf("unreadable-%x", sha256.Sum256(raw))[:32], 0, chatID, err
	}
	number, _ = strconv.ParseInt(id, 10, 64) // open wrote it
	return id, number, chatID, err
}
