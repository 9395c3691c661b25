package bot

import (
	"maps"
	"slices"
	"strings"

	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/catch/names"
)

// fish is /fish: which fish the crew's names mean; /fish drummer = rock blackfish settles one, /fish forget drummer ends that.
func (a *ask) fish(args string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		args = strings.TrimSpace(args)
		if name, ok := cutWord(args, "forget"); ok {
			key := names.Fold(name)
			if _, known := c.FishNames[key]; !known {
				a.reply(tx, w.T("fish_unknown", "said", shownName(w, name)))
				return nil
			}
			left := maps.Clone(c.FishNames)
			delete(left, key)
			c.FishNames = left
			if err := tx.PutCrew(c); err != nil {
				return err
			}
			a.reply(tx, w.T("fish_forgotten", "said", shownName(w, name)))
			return nil
		}
		if name, what, ok := strings.Cut(args, "="); ok {
			name = names.Fold(name)
			found := names.Find(what, c.Area)
			if n := len([]rune(name)); n < 2 || n > 40 || len(found) != 1 {
				a.reply(tx, w.T("fish_how"))
				return nil
			}
			c, full := settleName(c, name, found[0].ID)
			if full {
				a.reply(tx, w.T("fish_full", "n", mostFishNames))
				return nil
			}
			if err := tx.PutCrew(c); err != nil {
				return err
			}
			a.reply(tx, w.T("fish_settled", "said", shownName(w, name), "fish", found[0].Canonical, "scientific", found[0].Scientific))
			return nil
		}
		if args != "" {
			found := names.Find(args, c.Area)
			if len(found) == 0 {
				a.reply(tx, w.T("fish_unknown", "said", shownName(w, args)))
				return nil
			}
			var out []string
			for _, s := range found {
				out = append(out, s.Canonical+" ("+s.Scientific+")")
			}
			a.reply(tx, w.T("fish_means", "said", shownName(w, args), "fish", w.Names(out)))
			return nil
		}
		if len(c.FishNames) == 0 {
			a.reply(tx, w.T("fish_none"))
			return nil
		}
		out := []string{w.T("fish_head")}
		for _, name := range slices.Sorted(maps.Keys(c.FishNames)) {
			s, ok := names.ByID(c.FishNames[name])
			if !ok {
				continue
			}
			out = append(out, w.T("fish_line", "said", shownName(w, name), "fish", s.Canonical))
		}
		out = append(out, w.T("fish_foot"))
		a.reply(tx, strings.Join(out, "\n"))
		return nil
	})
}

// cutWord takes a first word off a line.
func cutWord(line, word string) (rest string, ok bool) {
	first, rest, _ := strings.Cut(line, " ")
	if rest = strings.TrimSpace(rest); !strings.EqualFold(first, word) || rest == "" {
		return "", false
	}
	return wording.Clean(rest, 60), true
}
