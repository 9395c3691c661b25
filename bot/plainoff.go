package bot

import (
	"strings"

	"ledgehand/bot/wording"
	"ledgehand/session"
)

// "I am off" as people type it in a hurry, without a slash. Only whole lines are read: "no estoy fuera" and "fuera a las 15"
// are something else.

// plainlyOff says whether a line without a slash means /off.
func plainlyOff(line string) bool {
	switch l := bareLine(line); l {
	case "off", "i'm off", "im off", "i am off", "off now", "off the rocks", "i'm off the rocks", "im off the rocks", "back":
		return true
	default:
		return spanishOff(l)
	}
}

// spanishOff reads "fuera", "ya estamos fuera de las rocas", "ya estoy de vuelta". Whoever says "we" speaks for themselves
// here: the confirmation names who is still out, with a button for all.
func spanishOff(l string) bool {
	l = strings.TrimSuffix(l, " ya")
	l, already := strings.CutPrefix(l, "ya ")
	for _, am := range []string{"estoy ", "estamos ", "he salido ", "hemos salido ", "sali ", "salí ", "salimos "} {
		if rest, ok := strings.CutPrefix(l, am); ok {
			switch rest {
			case "fuera", "de vuelta":
				return strings.HasPrefix(am, "est")
			case "fuera de las rocas":
				return true
			case "de las rocas":
				return am != "estoy " && am != "estamos " && (already || am != "salimos ") // "salimos" alone may be yet to come
			}
			return false
		}
	}
	return l == "fuera" || l == "fuera de las rocas" || already && l == "de vuelta"
}

// perhapsOff says whether a line means /off or something else: who "went out" may have left home or the rocks, and
// "de vuelta" is "again" in half of South America.
func perhapsOff(line string) bool {
	l := strings.TrimPrefix(bareLine(line), "ya ")
	switch strings.TrimSuffix(l, " ya") {
	case "salí", "sali", "salimos", "he salido", "hemos salido", "de vuelta", "salimos de las rocas":
		return true
	}
	return false
}

// bareLine is a line without what stands around it in a sentence, in lower case.
func bareLine(line string) string {
	return strings.Join(strings.Fields(strings.ToLower(strings.Trim(strings.ReplaceAll(line, "’", "'"), " .!¡"))), " ")
}

// perhapsOff takes such a line for /off where we have asked already: then it is the answer. Before that it asks. Of
// somebody who is not out it is nothing.
func (a *ask) perhapsOff() (answered bool, err error) {
	fs, err := a.ownOutings(a.mine)
	if err != nil || len(fs) == 0 {
		return false, err
	}
	asked := true
	for _, f := range fs {
		asked = asked && !a.at().Before(f.o.BackBy)
	}
	if asked {
		return true, a.off("")
	}
	f := fs[0]
	return true, a.doIn(f.crew, a.cause, func(tx *session.Tx, _ session.Crew, w wording.Words) error {
		w = w.In(f.o.Zone)
		a.answer(tx, w.T("off_or_not", "who", a.name(), "ledge", f.o.Ledge, "by", w.When(f.o.BackBy, tx.Now())), outingButtons(w, f.o)...)
		return nil
	})
}
