package bot

import (
	"slices"
	"strings"
	"time"

	"ledgehand/bot/wording"
	"ledgehand/session"
)

// Who goes along: members by name, and guests of whom only the name is known.

// party is who goes along with the person: members of the crew by id, and guests, of whom only the name is known.
type party struct {
	ids    []int64
	guests []string
	home   time.Time // when they will be home, where they said so

	notes  string              // from the plan they made
	drives func(id int64) bool // who came by car, by that plan; nil: nobody said
}

// timeWords end the names after "with".
var timeWords = []string{"back", "by", "at", "until", "till", "til", "for", "home", "today", "tonight", "tomorrow",
	"noon", "midnight", "hour", "first", "last", "dusk", "dark", "dawn", "sunset", "sunrise", "low", "high", "half", "quarter", "before", "in", "mon", "tue", "wed", "thu", "fri", "sat", "sun",
	"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"}

// spanishTimeWords do the same in Spanish. "Domingo" is a friend as well as a day, so it ends no names.
var spanishTimeWords = []string{"vuelvo", "volvemos", "vuelta", "regreso", "regresamos", "fuera", "hasta", "desde", "al", "hoy",
	"mañana", "manana", "esta", "mediodía", "mediodia", "medianoche", "por", "durante", "antes", "para", "en",
	"lunes", "martes", "miércoles", "miercoles", "jueves", "viernes", "sábado", "sabado"}

// company picks those named after "with" or "con" out of a line. Somebody who never wrote to us is a guest: they cannot tap,
// but those ashore must know of them.
func company(c session.Crew, line string) (rest string, p party) {
	words := strings.Fields(line)
	i := slices.IndexFunc(words, func(s string) bool { return strings.EqualFold(s, "with") || strings.EqualFold(s, "con") })
	if i < 0 || strings.EqualFold(words[i], "con") && i+1 < len(words) && slices.Contains([]string{"la", "el", "las", "los"}, strings.ToLower(words[i+1])) {
		return line, p // "con la bajamar" is a time, if one that nobody reads
	}
	j := i + 1
	for ; j < len(words); j++ {
		n := strings.Trim(words[j], ",.@")
		low := strings.ToLower(n)
		if slices.Contains(spanishTimeWords, low) || low == "a" && j+1 < len(words) && strings.HasPrefix(strings.ToLower(words[j+1]), "la") ||
			low == "de" && j+1 < len(words) && strings.EqualFold(words[j+1], "vuelta") {
			break
		}
		if low == "an" && j+1 < len(words) && strings.EqualFold(words[j+1], "hour") {
			break
		}
		if slices.Contains(timeWords, low) || strings.ContainsAny(n, "0123456789:") {
			break
		}
		if low == "and" || low == "y" || low == "e" || n == "" || n == "&" {
			continue
		}
		if m, k, ok := longName(c, words[j:]); ok {
			p.ids, j = append(p.ids, m.ID), j+k-1
			continue
		}
		if m, ok := c.Named(n); ok {
			p.ids = append(p.ids, m.ID)
		} else {
			p.guests = append(p.guests, wording.Clean(n, 40))
		}
	}
	return strings.Join(append(slices.Clone(words[:i]), words[j:]...), " "), p
}

// longName finds a member whose name begins a line and has several words, and how many.
func longName(c session.Crew, words []string) (session.Member, int, bool) {
	for n := min(len(words), 6); n > 1; n-- {
		if m, ok := c.Named(strings.Trim(strings.Join(words[:n], " "), ",.@")); ok {
			return m, n, true
		}
	}
	return session.Member{}, 0, false
}
