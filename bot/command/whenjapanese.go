package command

import (
	"strings"
	"time"
)

// Japanese runs its words together: "土曜5時〜10時", "明日の朝5時半から9時まで". Each is put in the word that the reader knows. The
// hour is that of the 24-hour clock, "5時" the morning: common practice, no source.

var japanese = []struct{ word, means string }{
	{"月曜日", "monday"}, {"火曜日", "tuesday"}, {"水曜日", "wednesday"}, {"木曜日", "thursday"}, {"金曜日", "friday"}, {"土曜日", "saturday"}, {"日曜日", "sunday"},
	{"月曜", "monday"}, {"火曜", "tuesday"}, {"水曜", "wednesday"}, {"木曜", "thursday"}, {"金曜", "friday"}, {"土曜", "saturday"}, {"日曜", "sunday"},
	{"来週", "next"}, {"今週", "this"}, {"明後日", "overmorrow"}, {"あさって", "overmorrow"}, {"明日", "tomorrow"}, {"あした", "tomorrow"}, {"今日", "today"}, {"きょう", "today"}, {"昨日", "yesterday"},
	{"今夜", "tonight"}, {"今晩", "tonight"}, {"午前", "morning"}, {"午後", "pm"}, {"夕方", "evening"}, {"朝", "morning"}, {"夜", "night"},
	{"正午", "noon"}, {"日の出", "sunrise"}, {"日の入り", "sunset"}, {"日没", "sunset"}, {"満潮", "high"}, {"干潮", "low"},
	{"から", "to"}, {"まで", ""}, {"より", "to"}, {"の", ""}, {"に", ""}, {"は", ""}, {"今", "now"},
}

// fromJapanese rewrites the words of a line in which Japanese ones stand; others stay as they are. A word of several of
// which one is not known stays whole, as a name does.
func fromJapanese(lx []lexeme) []lexeme {
	var out []lexeme
	var held lexeme // the month that follows its day
	changed := false
	half := "h" // what an hour is followed by: of the 24-hour clock, or am, pm where the half of the day was said
	for i, x := range lx {
		afterNumber := i > 0 && x.glued && lx[i-1].kind == lexDigits
		if x.kind == lexLetters && x.s == "月" && afterNumber && kindAt(lx, i+1, lexDigits) && strings.HasPrefix(peek(lx, i+2), "日") && len(out) > 0 {
			if m := small(lx[i-1].s); m >= 1 && m <= 12 { // "3月14日" is 14 march
				month := out[len(out)-1]
				month.s, month.kind, month.end, month.glued = strings.ToLower(time.Month(m).String()), lexLetters, x.end, false
				held, changed = month, true
				out = out[:len(out)-1]
				continue
			}
		}
		if x.kind == lexLetters && held.s != "" && strings.HasPrefix(x.s, "日") {
			held.end = x.at + len("日")
			out = append(out, held)
			held = lexeme{}
			if x.s = strings.TrimPrefix(x.s, "日"); x.s == "" {
				continue
			}
			x.at += len("日")
			afterNumber = false
		}
		parts, ok := japaneseWords(x, afterNumber, &half)
		if x.kind != lexLetters || !ok {
			out = append(out, x)
			continue
		}
		changed = true
		out = append(out, parts...)
	}
	if !changed {
		return lx
	}
	return out
}

func japaneseWords(x lexeme, afterNumber bool, half *string) (out []lexeme, ok bool) {
	rest, at := x.s, x.at
	add := func(word, means string, kind lexKind, glued bool) {
		rest = rest[len(word):]
		if means != "" {
			out = append(out, lexeme{s: means, at: at, end: at + len(word), kind: kind, glued: glued})
		}
		at += len(word)
	}
	for first := true; rest != ""; first = false {
		switch {
		case first && afterNumber && strings.HasPrefix(rest, "時間"):
			add("時間", "hours", lexLetters, false)
			continue
		case first && afterNumber && strings.HasPrefix(rest, "時半"):
			if *half != "h" {
				add("時", ":", lexSymbol, true)
				add("半", "30", lexDigits, true)
				out = append(out, lexeme{s: *half, at: at, end: at, kind: lexLetters})
				continue
			}
			add("時", "h", lexLetters, true)
			add("半", "30", lexDigits, true)
			continue
		case first && afterNumber && strings.HasPrefix(rest, "時"):
			add("時", *half, lexLetters, true)
			continue
		case first && afterNumber && strings.HasPrefix(rest, "分"):
			add("分", "", lexLetters, false)
			continue
		}
		found := false
		for _, j := range japanese {
			if strings.HasPrefix(rest, j.word) {
				switch j.means {
				case "pm", "evening", "night", "tonight":
					*half = "pm"
				}
				add(j.word, j.means, lexLetters, false)
				found = true
				break
			}
		}
		if !found {
			return nil, false
		}
	}
	return out, true
}
