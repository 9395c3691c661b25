package command

import (
	"strings"
	"time"
)

// Trip times in Spanish: "vuelvo a las 15", "hasta las 3 de la tarde", "sáb de 6 a 9", "en media hora". The words of both
// languages are read side by side, whatever a crew reads, for mates mix them; what one of them leaves open ("mañana" is
// tomorrow and the morning, "mar" is Tuesday, March and the sea) is asked. How times are said: Real Academia Española,
// Ortografía (2010) and Diccionario panhispánico de dudas, "hora".

var spanishWeekdays = map[string]time.Weekday{
	"lunes": time.Monday, "lun": time.Monday,
	"martes": time.Tuesday, "mart": time.Tuesday, // not "mar"
	"miercoles": time.Wednesday, "mierc": time.Wednesday, "mie": time.Wednesday,
	"jueves": time.Thursday, "juev": time.Thursday, "jue": time.Thursday,
	"viernes": time.Friday, "vier": time.Friday, "vie": time.Friday,
	"sabado": time.Saturday, "sab": time.Saturday,
	"domingo": time.Sunday, "dom": time.Sunday,
	// Portuguese and French, where they differ
	"segunda": time.Monday, "terca": time.Tuesday, "quarta": time.Wednesday, "quinta": time.Thursday, "sexta": time.Friday,
	"maandag": time.Monday, "dinsdag": time.Tuesday, "woensdag": time.Wednesday, "donderdag": time.Thursday, "vrydag": time.Friday, "vrijdag": time.Friday,
	"saterdag": time.Saturday, "zaterdag": time.Saturday, "sondag": time.Sunday, "zondag": time.Sunday, // Afrikaans and Dutch
	"lundi": time.Monday, "mardi": time.Tuesday, "mercredi": time.Wednesday, "jeudi": time.Thursday, "vendredi": time.Friday, "samedi": time.Saturday, "dimanche": time.Sunday,
}

// spanishMonths stand after the day only: "14 ago", "14 de agosto". "Mar" is in months.
var spanishMonths = map[string]int{
	"enero": 1, "ene": 1, "febrero": 2, "marzo": 3, "abril": 4, "abr": 4, "mayo": 5, "junio": 6, "julio": 7,
	"agosto": 8, "ago": 8, "septiembre": 9, "setiembre": 9, "octubre": 10, "noviembre": 11, "diciembre": 12, "dic": 12,
}

var spanishNumbers = map[string]int{
	"un": 1, "una": 1, "uno": 1, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6,
	"siete": 7, "ocho": 8, "nueve": 9, "diez": 10, "once": 11, "doce": 12,
}

var spanishParts = map[string]part{"manana": morning, "tarde": afternoon, "noche": night, "tardecita": afternoon, "manha": morning, "noite": night}

// spanishStops are words about time that are not read. "Tarde" alone is late as well as the afternoon.
var spanishStops = func() map[string]Word {
	m := map[string]Word{}
	for why, words := range map[Word]string{
		AskTide:   `marea mareas pleamar bajamar`,
		AskLight:  `amanecer anochecer atardecer alba ocaso oscurecer luz`,
		AskVague:  `tarde temprano pronto sobre hacia eso aproximadamente aprox cerca quizas quiza o luego comida comer cena cenar almuerzo almorzar desayuno antes despues madrugada`,
		AskDate:   `semana semanas finde mes meses`,
		WhyNoTime: `cuando quando quand`,
		WhyPast:   `pasado`,
		WhyToken:  `y menos mas dia dias hora horas minuto minutos cada siempre nunca menudo proximo proxima que media cuarto cuartos`,
	} {
		for w := range strings.FieldsSeq(words) {
			m[w] = why
		}
	}
	for w := range spanishNumbers {
		if _, english := stops[w]; !english { // "once"
			m[w] = WhyToken
		}
	}
	return m
}()

// fold takes the accents off: thumbs leave them out.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case 'á', 'à', 'â', 'ã':
			return 'a'
		case 'é', 'è', 'ê':
			return 'e'
		case 'ç':
			return 'c'
		case 'õ', 'ô':
			return 'o'
		case 'í':
			return 'i'
		case 'ó':
			return 'o'
		case 'ú', 'ü':
			return 'u'
		case 'ñ':
			return 'n'
		}
		if r >= 0x300 && r <= 0x36f { // an accent typed as a mark of its own
			return -1
		}
		return r
	}, s)
}

// readSpanish reads a Spanish word about time; ok is false for what is none.
func readSpanish(lx []lexeme, i int) (t token, next int, ok bool) {
	at := func(k int) string { return fold(peek(lx, k)) }
	number := func(k int) bool { return kindAt(lx, k, lexDigits) }
	noon := func(k int) bool { return at(k) == "mediodia" || at(k) == "medianoche" }
	span := func(k int) bool {
		_, _, ok := readSpan(lx, k)
		return ok || number(k) && hourWords[at(k+1)]
	}
	is := func(k tokenKind, next int) (token, int, bool) { return token{kind: k}, next, true }
	w := at(i)
	if peek(lx, i) == "môre" { // without its accent it is an English word
		return token{kind: tokDay, day: day{kind: dayOffset, n: 1}}, i + 1, true
	}
	switch w {
	case "ate":
		if at(i+1) == "as" {
			return is(tokTo, i+2)
		}
		return is(tokTo, i+1)
	case "tot", "jusqu'a", "jusqu’a":
		return is(tokTo, i+1)
	case "das", "as", "às":
		switch {
		case !number(i + 1):
		case w == "das":
			return is(tokLeave, i+1)
		case number(i-1) || hourWords[at(i-1)]:
			return is(tokTo, i+1) // "das 6h às 10h"
		default:
			return is(tokSep, i+1)
		}
	case "vandag", "vandaag":
		return token{kind: tokDay, day: day{kind: dayOffset}}, i + 1, true
	case "vanaand", "vanavond":
		return token{kind: tokPart, part: night, day: day{kind: dayOffset}}, i + 1, true
	case "oggend", "ochtend":
		return token{kind: tokPart, part: morning}, i + 1, true
	case "amanha":
		return token{kind: tokDay, day: day{kind: dayOffset, n: 1}}, i + 1, true
	case "demain":
		return token{kind: tokDay, day: day{kind: dayOffset, n: 1}}, i + 1, true
	case "hoje", "aujourd'hui", "aujourd’hui":
		return token{kind: tokDay, day: day{kind: dayOffset}}, i + 1, true
	case "manha", "matin":
		return token{kind: tokPart, part: morning}, i + 1, true
	case "noite":
		return token{kind: tokPart, part: night}, i + 1, true
	case "soir":
		return token{kind: tokPart, part: evening}, i + 1, true
	case "midi":
		return token{kind: tokClock, clock: clock{minutes: 720}}, i + 1, true
	case "minuit", "meia-noite":
		return token{kind: tokClock, clock: clock{midnight: true}}, i + 1, true
	case "agora", "maintenant":
		return is(tokNow, i+1)
	case "volto", "voltamos", "retour", "volver":
		return is(tokBack, afterBack(lx, i+1))
	case "entre":
		if number(i+1) || at(i+1) == "las" {
			return is(tokBetween, i+1)
		}
	case "y":
		if (number(i-1) || hourWords[at(i-1)]) && (number(i+1) || at(i+1) == "las") {
			return is(tokAnd, i+1)
		}
	case "con":
		if _, _, ok := readAnchor(lx, i+1); ok {
			return is(tokSep, i+1)
		}
	case "hasta":
		if at(i+1) == "el" || at(i+1) == "la" && !number(i+2) {
			return is(tokTo, i+2) // "hasta el mediodía", "hasta la medianoche"
		}
		if at(i+1) == "que" && at(i+2) == "sea" {
			return token{kind: tokStop, why: AskVague}, i + 3, true
		}
		return is(tokTo, i+1)
	case "desde":
		return is(tokLeave, i+1)
	case "de":
		switch {
		case at(i+1) == "vuelta":
			return is(tokBack, afterBack(lx, i+2))
		case at(i+1) == "manha", at(i+1) == "noite", at(i+1) == "la" && spanishParts[at(i+2)] != "" && !number(i-1):
			return is(tokSep, i+1)
		case at(i+1) == "madrugada" || at(i+1) == "la" && at(i+2) == "madrugada":
			return token{kind: tokPart, part: morning}, i + 2 + btoi(at(i+1) == "la"), true
		case number(i + 1), (at(i+1) == "las" || at(i+1) == "la") && number(i+2):
			return is(tokLeave, i+1)
		}
	case "vuelvo", "volvemos", "volvere", "volveremos", "vuelta", "regreso", "regresamos", "regresare":
		return is(tokBack, afterBack(lx, i+1))
	case "fuera":
		if next = i + 1; at(next) == "de" && at(next+1) == "las" && at(next+2) == "rocas" {
			next += 3
		}
		return is(tokBack, afterBack(lx, next))
	case "estoy", "estare", "estaremos", "estamos":
		if at(i+1) == "fuera" || at(i+1) == "de" && at(i+2) == "vuelta" {
			return is(tokSep, i+1)
		}
	case "a":
		switch {
		case number(i+1) && (number(i-1) || hourWords[at(i-1)]):
			return is(tokTo, i+1) // "de 6 a 9"
		case (at(i+1) == "las" || at(i+1) == "la") && number(i+2):
			if at(i-1) == "de" || number(i-1) || hourWords[at(i-1)] {
				return is(tokTo, i+1) // "de 6 a las 9"
			}
			return is(tokSep, i+1)
		case noon(i + 1), at(i+1) == "noite", at(i+1) == "tarde":
			return is(tokSep, i+1)
		}
	case "al", "ao":
		if noon(i + 1) {
			return is(tokSep, i+1)
		}
		if _, _, ok := readAnchor(lx, i+1); ok {
			return is(tokSep, i+1)
		}
	case "las", "la":
		if number(i + 1) {
			return is(tokSep, i+1)
		}
	case "el":
		if d, isDay := spanishWeekdays[at(i+1)]; isDay {
			return spanishDay(lx, i+1, d)
		}
		if number(i+1) && len(peek(lx, i+1)) <= 2 && !monthAfter(lx, i+2) && peek(lx, i+2) != "/" {
			return token{kind: tokDay, day: day{kind: dayOfMonth, a: small(peek(lx, i+1))}}, i + 2, true // "el 14" is no hour
		}
		if number(i+1) || noon(i+1) || at(i+1) == "dia" && number(i+2) {
			return is(tokSep, i+1)
		}
		if p := at(i + 1); p == "proximo" {
			if d, isDay := spanishWeekdays[at(i+2)]; isDay {
				return token{kind: tokDay, day: day{kind: dayNext, weekday: d}}, i + 3, true
			}
		}
	case "este":
		if d, isDay := spanishWeekdays[at(i+1)]; isDay {
			return token{kind: tokDay, day: day{kind: dayWeekday, weekday: d}}, i + 2, true
		}
	case "esta":
		if p, isPart := spanishParts[at(i+1)]; isPart {
			return token{kind: tokPart, part: p, day: day{kind: dayOffset}}, i + 2, true
		}
	case "por", "durante":
		if p, isPart := spanishParts[at(i+2)]; isPart && w == "por" && at(i+1) == "la" {
			return token{kind: tokPart, part: p}, i + 3, true
		}
		if span(i + 1) {
			return is(tokFor, i+1)
		}
	case "en":
		if span(i + 1) {
			return is(tokIn, i+1)
		}
	case "ahora":
		if next = i + 1; at(next) == "mismo" {
			next++
		}
		return is(tokNow, next)
	case "mediodia":
		return token{kind: tokClock, clock: clock{minutes: 720}}, i + 1, true
	case "medianoche":
		return token{kind: tokClock, clock: clock{midnight: true}}, i + 1, true
	case "hoy":
		return token{kind: tokDay, day: day{kind: dayOffset}}, i + 1, true
	case "ayer":
		return token{kind: tokDay, day: day{kind: dayOffset, n: -1}}, i + 1, true
	case "pasado":
		if at(i+1) == "manana" {
			return token{kind: tokDay, day: day{kind: dayOffset, n: 2}}, i + 2, true
		}
	case "manana":
		// After an hour, "a las 9 mañana", it may be the morning of today as well as tomorrow.
		if i > 0 && (at(i-1) == "la" || number(i-1) || hourWords[at(i-1)] || at(i-1) == "media" || at(i-1) == "cuarto") {
			return token{kind: tokStop, why: AskDate}, i + 1, true
		}
		return token{kind: tokDay, day: day{kind: dayOffset, n: 1}}, i + 1, true
	case "tarde":
		if i > 0 && (at(i-1) == "a" || at(i-1) == "à" || at(i-1) == "de" || at(i-1) == "la" || spanishDayBefore(lx, i)) {
			return token{kind: tokPart, part: afternoon}, i + 1, true
		}
	case "noche":
		return token{kind: tokPart, part: night}, i + 1, true
	}
	if d, isDay := spanishWeekdays[w]; isDay && at(i-1) != "santo" { // Santo Domingo
		return spanishDay(lx, i, d)
	}
	if why, stop := spanishStops[w]; stop {
		return token{kind: tokStop, why: why, local: true}, i + 1, true
	}
	return token{}, i, false
}

// spanishDay is a weekday, or with "que viene", "próximo" after it either of two.
func spanishDay(lx []lexeme, i int, d time.Weekday) (token, int, bool) {
	switch {
	case fold(peek(lx, i+1)) == "que" && fold(peek(lx, i+2)) == "viene":
		return token{kind: tokDay, day: day{kind: dayNext, weekday: d}}, i + 3, true
	case fold(peek(lx, i+1)) == "proximo":
		return token{kind: tokDay, day: day{kind: dayNext, weekday: d}}, i + 2, true
	}
	return token{kind: tokDay, day: day{kind: dayWeekday, weekday: d}}, i + 1, true
}

// afterBack passes over what stands between "vuelvo" and the time: "a casa", "antes de", "para".
func afterBack(lx []lexeme, i int) int {
	at := func(k int) string { return fold(peek(lx, k)) }
	if at(i) == "a" && at(i+1) == "casa" {
		i += 2
	}
	switch {
	case at(i) == "antes" && (at(i+1) == "de" || at(i+1) == "del"):
		i += 2
	case at(i) == "para" && (at(i+1) == "las" || at(i+1) == "la" || at(i+1) == "el"):
		i++
	}
	return i
}

// monthAfter says whether a month follows a day's number: "marzo", "de marzo".
func monthAfter(lx []lexeme, i int) bool {
	_, _, ok := dayFirstMonth(lx, i)
	return ok
}

// dayFirstMonth reads the month that follows a day's number, in either language.
func dayFirstMonth(lx []lexeme, i int) (month, next int, ok bool) {
	of := fold(peek(lx, i)) == "de"
	if of {
		i++
	}
	if m := spanishMonths[fold(peek(lx, i))]; m > 0 {
		return m, i + 1, true
	}
	if m := months[peek(lx, i)]; m > 0 {
		return m, i + 1, true
	}
	return 0, i, false
}

// afterArticle says whether "las" or "la" stands before a number: then it is an hour, never a span.
func afterArticle(lx []lexeme, i int) bool {
	w := peek(lx, i-1)
	return w == "las" || w == "la"
}

// readArticleClock reads the hour after "a las": "15", "3", "15:30", "15.30", "15h", "15 h", "3 y media de la tarde".
func readArticleClock(lx []lexeme, i int) (t token, next int, why Word) {
	hour, minute, width := small(lx[i].s), 0, len(lx[i].s)
	if width > 2 {
		return t, i + 1, WhyClock
	}
	padded, whole := false, true
	two := func(k int) bool { return kindAt(lx, k, lexDigits) && lx[k].glued && len(lx[k].s) == 2 }
	next = i + 1
	if s := peek(lx, next); (s == ":" || s == ".") && gluedTo(lx, next) && two(next+1) {
		minute, padded, whole, next = small(lx[next+1].s), width == 2, false, next+2
	}
	if hourWords[peek(lx, next)] {
		if next++; whole && two(next) {
			minute, padded, whole, next = small(lx[next].s), true, false, next+1
		}
	}
	if whole {
		hour, minute, next = spokenMinutes(lx, next, hour)
	}
	return finishClock(lx, next, hour, minute, padded)
}

// spokenMinutes reads "y media", "y cuarto", "menos cuarto" after an hour.
func spokenMinutes(lx []lexeme, i, hour int) (h, minute, next int) {
	switch fold(peek(lx, i)) + " " + fold(peek(lx, i+1)) {
	case "y media":
		return hour, 30, i + 2
	case "y cuarto":
		return hour, 15, i + 2
	case "menos cuarto":
		if hour--; hour == 0 {
			hour = 12
		}
		return hour, 45, i + 2
	}
	return hour, 0, i
}

// spanishHalf reads "de la mañana", "de la tarde", "de la noche", "de la madrugada", "del mediodía" after an hour where
// that leaves one hour of the day: "8 de la tarde" is 20:00, "12 de la noche" midnight; "12 de la mañana" is not read.
func spanishHalf(lx []lexeme, i, hour, minute int) (c clock, next int, ok bool) {
	var word string
	switch next = i + 3; {
	case fold(peek(lx, i)) == "de" && fold(peek(lx, i+1)) == "la":
		word = fold(peek(lx, i+2))
	case fold(peek(lx, i)) == "del":
		word, next = fold(peek(lx, i+1)), i+2
	}
	from, to := 0, 0 // hours of the day that the word speaks of
	switch word {
	case "manana":
		from, to = 1, 12
	case "tarde":
		from, to = 13, 22
	case "noche":
		from, to = 19, 24
	case "madrugada":
		from, to = 1, 7
	case "mediodia":
		from, to = 12, 16
	default:
		return c, i, false
	}
	if word == "noche" && hour == 12 && minute == 0 {
		return clock{midnight: true}, next, true
	}
	for _, h := range []int{hour, hour + 12} {
		if h >= from && h < to && h < 24 {
			return clock{minutes: h*60 + minute}, next, true
		}
	}
	return c, i, false
}

func spanishDayBefore(lx []lexeme, i int) bool {
	w := fold(peek(lx, i-1))
	_, is := spanishWeekdays[w]
	return is || w == "hoy" || w == "hoje"
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
