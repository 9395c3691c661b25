package bottest

import (
	"strings"

	"ledgehand/bot/chat"
)

// keyboard is what the bot put under or below a message.
type keyboard struct {
	Inline [][]struct {
		Text  string  `json:"text"`
		Style string  `json:"style"`
		Data  *string `json:"callback_data"`
		URL   string  `json:"url"`
		Copy  *struct {
			Text string `json:"text"`
		} `json:"copy_text"`
	} `json:"inline_keyboard"`
	Keys [][]struct {
		Text     string `json:"text"`
		Location bool   `json:"request_location"`
	} `json:"keyboard"`
	Force     bool   `json:"force_reply"`
	Hint      string `json:"input_field_placeholder"`
	Selective bool   `json:"selective"`
	Remove    bool   `json:"remove_keyboard"`
}

// Limits on inline keyboards; the first two are common practice, undocumented, the others the Bot API's.
const (
	mostButtons  = 100
	mostInRow    = 8
	mostCopyText = 256
	mostHint     = 64
)

func readKeyboard(p params, private bool) (keyboard, [][]chat.Button, *refusal) {
	var k keyboard
	if _, no := p.object("reply_markup", &k); no != nil {
		return k, nil, no
	}
	var rows [][]chat.Button
	n := 0
	for _, row := range k.Inline {
		if len(row) > mostInRow {
			return k, nil, bad("reply markup is too long")
		}
		var out []chat.Button
		for _, b := range row {
			n++
			button := chat.Button{Label: b.Text}
			switch {
			case strings.TrimSpace(b.Text) == "":
				return k, nil, bad("can't parse inline keyboard button: Field \"text\" must be of type String")
			case b.Style != "" && b.Style != "danger" && b.Style != "success" && b.Style != "primary":
				return k, nil, bad("can't parse inline keyboard button: invalid button style specified")
			case b.Data != nil:
				if len(*b.Data) < 1 || len(*b.Data) > chat.MaxButtonData {
					return k, nil, bad("BUTTON_DATA_INVALID")
				}
				button.Data = *b.Data
			case b.Copy != nil:
				if c := length(b.Copy.Text); c < 1 || c > mostCopyText {
					return k, nil, bad("BUTTON_COPY_TEXT_INVALID")
				}
				button.Copy = b.Copy.Text
			case b.URL == "":
				return k, nil, bad("can't parse inline keyboard button: Text buttons are unallowed in the inline keyboard")
			}
			switch b.Style {
			case "danger":
				button.Style = chat.StyleGrave
			case "success":
				button.Style = chat.StyleGood
			}
			out = append(out, button)
		}
		if len(out) > 0 {
			rows = append(rows, out)
		}
	}
	if n > mostButtons {
		return k, nil, bad("reply markup is too long")
	}
	for _, row := range k.Keys {
		for _, b := range row {
			if b.Location && !private {
				return k, nil, bad("location can be requested in private chats only")
			}
		}
	}
	if length(k.Hint) > mostHint {
		return k, nil, bad("can't parse reply keyboard markup: input field placeholder is too long")
	}
	return k, rows, nil
}

func inlineJSON(rows [][]chat.Button) map[string]any {
	out := [][]map[string]any{}
	for _, row := range rows {
		keys := []map[string]any{}
		for _, b := range row {
			k := map[string]any{"text": b.Label}
			if b.Copy != "" {
				k["copy_text"] = map[string]any{"text": b.Copy}
			} else {
				k["callback_data"] = b.Data
			}
			keys = append(keys, k)
		}
		out = append(out, keys)
	}
	return map[string]any{"inline_keyboard": out}
}
