package command

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// MaxLine is the most bytes a line to be read may have; what people type on a phone is far shorter.
const MaxLine = 1000

type lexKind uint8

const (
	lexSymbol  lexKind = iota // one rune that is neither
	lexDigits                 // ASCII digits
	lexLetters                // letters, with apostrophes inside
)

// lexeme is a run of digits or letters, or one symbol. Spaces are not lexemes; glued says that
// none came before it.
type lexeme struct {
	s       string // lower case
	at, end int    // bytes of the text it came from
	kind    lexKind
	glued   bool
}

// lex splits text. Digits of other scripts are symbols, so that no reader takes them for numbers unawares.
func lex(text string) []lexeme {
	out := make([]lexeme, 0, 16)
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		if unicode.IsSpace(r) {
			i += size
			continue
		}
		kind, end := lexSymbol, i+size
		switch {
		case isDigit(r):
			kind = lexDigits
			for end < len(text) && isDigit(rune(text[end])) {
				end++
			}
		case unicode.IsLetter(r):
			kind = lexLetters
			for end < len(text) {
				r, size := utf8.DecodeRuneInString(text[end:])
				if !unicode.IsLetter(r) && !unicode.IsMark(r) {
					next, _ := utf8.DecodeRuneInString(text[end+size:])
					if (r != '\'' && r != '’') || !unicode.IsLetter(next) {
						break
					}
				}
				end += size
			}
		}
		out = append(out, lexeme{
			s: strings.ToLower(text[i:end]), at: i, end: end, kind: kind,
			glued: len(out) > 0 && out[len(out)-1].end == i,
		})
		i = end
	}
	return out
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// peek returns the text of lexeme i, "" beyond the end.
func peek(lx []lexeme, i int) string {
	if i < 0 || i >= len(lx) {
		return ""
	}
	return lx[i].s
}

// gluedTo says whether lexeme i exists and follows its predecessor without a space.
func gluedTo(lx []lexeme, i int) bool { return i >= 0 && i < len(lx) && lx[i].glued }

// kindAt returns the kind of lexeme i, and false beyond the end.
func kindAt(lx []lexeme, i int, k lexKind) bool { return i >= 0 && i < len(lx) && lx[i].kind == k }

// small reads up to nine digits.
func small(s string) int {
	if len(s) > 9 {
		return -1
	}
	n := 0
	for _, r := range s {
		n = n*10 + int(r-'0')
	}
	return n
}

// One to twelve in words, where people write them.
var numberWords = map[string]int{
	"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6,
	"seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}
