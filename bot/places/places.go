package places

import (
	"bytes"
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"

	"ledgehand/conditions/measure"
)

// Place is one named position.
type Place struct {
	Name string // as tidy leaves it; may be empty
	Note string // what the file says of it
	At   measure.Position
}

// Found is what a file holds.
type Found struct {
	Places []Place
	Unread int // places without a position that can be read
	Shapes int // lines, tracks and areas, which are no places
	Over   int // places beyond Most
}

// Most is how many places of one file are read; nobody chooses among more on a phone (common practice, no source).
const Most = 100

// Why a file cannot be read.
var (
	ErrFormat   = errors.New("neither GPX nor GeoJSON")
	ErrBroken   = errors.New("broken off or not well formed")
	ErrDeep     = errors.New("nested deeper than any list of places")
	ErrDeclares = errors.New("it declares a document type of its own")
	ErrSystem   = errors.New("its positions are in another coordinate system than WGS 84")
)

var errNoPlace = errors.New("write places: one is not on Earth")

// mostDeep bounds nesting: a GPX file needs seven levels, a GeoJSON one eight.
const mostDeep = 64

// Read reads a GPX or GeoJSON file, whichever it is. Its errors hold nothing of the file.
func Read(data []byte) (Found, error) {
	data = bytes.TrimSpace(bytes.TrimPrefix(data, []byte("\ufeff")))
	switch {
	case bytes.HasPrefix(data, []byte("<")):
		return readGPX(data)
	case bytes.HasPrefix(data, []byte("{")):
		return readGeoJSON(data)
	}
	return Found{}, ErrFormat
}

// add keeps a place that has a position.
func (f *Found) add(p Place, ok bool) {
	switch {
	case !ok || p.At.Check() != nil:
		f.Unread++
	case len(f.Places) >= Most:
		f.Over++
	default:
		p.Name, p.Note = tidy(p.Name, mostName), tidy(p.Note, mostNote)
		f.Places = append(f.Places, p)
	}
}

// How long a name and a note may be, in characters.
const (
	mostName = 100
	mostNote = 500
)

// tidy is a text in one line of characters that XML can hold.
func tidy(s string, most int) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == utf8.RuneError || r == 0xFFFE || r == 0xFFFF:
			return -1
		case unicode.IsControl(r):
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, ""))
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > most {
		s = strings.TrimSpace(string(r[:most]))
	}
	return s
}
