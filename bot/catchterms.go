package bot

import (
	"ledgehand/bot/command"
	"ledgehand/session/catch/names"
	"ledgehand/session/catch/weight"
)

// CatchTerms is what the words of a catch line mean in an area such as "AU-NSW", in metric or imperial units; settled
// says which species a name means that may mean several. Longest and heaviest come from the table in the program,
// whichever an operator uses for weights: what is read must not hang on a setting.
func CatchTerms(units, area string, settled map[string]string) command.Terms {
	return command.Terms{
		Units: command.Units(units),
		Fish: func(name string) []names.Species {
			if id, ok := settled[names.Fold(name)]; ok {
				if s, known := names.ByID(id); known {
					return []names.Species{s}
				}
			}
			return names.Find(name, area)
		},
		Near: func(name string) ([]names.Species, bool) {
			if id, ok := settled[names.Fold(name)]; ok {
				if s, known := names.ByID(id); known {
					return []names.Species{s}, true
				}
			}
			return names.Near(name, area)
		},
		Longest: func(s names.Species, fork bool) (float64, bool) {
			m := weight.TL
			if fork {
				m = weight.FL
			}
			return weight.Bundled().Longest(s.Scientific, m)
		},
		Heavier: func(s names.Species, grams float64) bool {
			top, ok := weight.Bundled().Heaviest(s.Scientific)
			return ok && grams > top
		},
	}
}
