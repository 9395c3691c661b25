package telegram

import (
	"strings"

	"github.com/go-telegram/bot/models"

	"ledgehand/bot/chat"
)

// The library's own button sends an empty copy_text with every button; ours sends what is there.
type inlineKeys struct {
	Rows [][]inlineKey `json:"inline_keyboard"`
}

type inlineKey struct {
	Text  string                 `json:"text"`
	Style string                 `json:"style,omitempty"`
	Data  string                 `json:"callback_data,omitempty"`
	Copy  *models.CopyTextButton `json:"copy_text,omitempty"`
}

// Telegram's limits on what stands in the reply box and in a toast (Bot API, ForceReply and answerCallbackQuery).
const (
	maxHint  = 64
	maxToast = 200
)

// markup is what stands under or below a message, nil for nothing. Telegram takes one kind only:
// buttons win over the reply box, that over the location key. Location keys exist in private
// chats alone; in a group a place reaches us only as an answer, so there we open the reply box.
func markup(m chat.Message) models.ReplyMarkup {
	if k := keys(m.Buttons); k != nil {
		return k
	}
	hint := m.AskReply
	if m.AskPlace != "" && hint == "" {
		if m.To > 0 {
			return &models.ReplyKeyboardMarkup{
				Keyboard:        [][]models.KeyboardButton{{{Text: oneLine(m.AskPlace), RequestLocation: true}}},
				ResizeKeyboard:  true,
				OneTimeKeyboard: true,
			}
		}
		hint = m.AskPlace
	}
	if hint != "" {
		return &models.ForceReply{ForceReply: true, InputFieldPlaceholder: shorten(oneLine(hint), maxHint), Selective: m.ReplyTo != 0}
	}
	return nil
}

func keys(rows [][]chat.Button) models.ReplyMarkup {
	k := &inlineKeys{}
	for _, row := range rows {
		var out []inlineKey
		for _, b := range row {
			key := inlineKey{Text: oneLine(b.Label), Data: b.Data}
			if b.Copy != "" {
				key.Data, key.Copy = "", &models.CopyTextButton{Text: b.Copy}
			}
			switch b.Style {
			case chat.StyleGood:
				key.Style = "success"
			case chat.StyleGrave:
				key.Style = "danger"
			}
			out = append(out, key)
		}
		if len(out) > 0 {
			k.Rows = append(k.Rows, out)
		}
	}
	if len(k.Rows) == 0 {
		return nil
	}
	return k
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// shorten is plain text of at most n UTF-16 units, ended with "…" when there was more.
func shorten(s string, n int) string {
	total, keep := 0, 0
	for i, r := range s {
		if total+units(r) <= n-1 {
			keep = i + len(string(r))
		}
		total += units(r)
	}
	if total <= n {
		return s
	}
	return s[:keep] + "…"
}
