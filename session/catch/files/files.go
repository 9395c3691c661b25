// Package files writes what a crew caught as files that other programs read: a table for spreadsheets and a Darwin Core archive for those
// who study fish. It is pure. Nothing in them leads to a ledge nearer than a tenth of a degree, numbers lead back to nobody without the
// crew's own salt, and what was taken back is in neither.
package files

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"

	"ledgehand/session/catch"
	"ledgehand/session/catch/names"
	"ledgehand/session/catch/tally"
)

// Log is what goes into a file.
type Log struct {
	Trips   []Trip // oldest first
	Named   map[int64]string
	Salt    string // of the crew: the same makes the same numbers in every export
	Licence string // CC0, CC-BY, CC-BY-NC, "" for none chosen
	Made    time.Time
}

// Trip is one trip, with where and by which clock.
type Trip struct {
	tally.Trip
	Place *Place // nil: not known
	Zone  *time.Location
}

// Place is a position that was made coarse on purpose.
type Place struct {
	Lat, Lon     float64 // degrees, whole tenths
	UncertaintyM int     // of the true place around it, metres
}

// Grid is how coarse positions are, in degrees.
const Grid = 0.1

// Coarsen puts a position on the grid. The true one may lie anywhere in the cell around the point: as far off as its corners, half a step
// of latitude and half a step of longitude away (a degree of latitude is at most 111.7 km, on the WGS 84 ellipsoid; of longitude at most
// 111.4 km at the equator, shrinking with the cosine). Rounded up to 100 m. ok is false for what is no position.
func Coarsen(lat, lon float64) (p Place, ok bool) {
	if !(math.Abs(lat) <= 90) || !(math.Abs(lon) <= 180) {
		return p, false
	}
	p.Lat, p.Lon = math.Round(lat/Grid)/10, math.Round(lon/Grid)/10
	near := math.Max(0, math.Abs(p.Lat)-Grid/2) * math.Pi / 180 // where the cell is widest
	north, east := Grid/2*111_700, Grid/2*111_400*math.Cos(near)
	p.UncertaintyM = int(math.Ceil(math.Hypot(north, east)/100)) * 100
	return p, true
}

// number is the same for the same thing of the same crew, and says nothing of it: a keyed sum in the form of a UUID of version 8
// (RFC 9562, 5.8).
func (l Log) number(kind, key string) string {
	m := hmac.New(sha256.New, []byte(l.Salt))
	m.Write([]byte(kind + "\x00" + key))
	b := m.Sum(nil)[:16]
	b[6], b[8] = b[6]&0x0f|0x80, b[8]&0x3f|0x80
	h := hex.EncodeToString(b)
	return fmt.Sprintf("%s-%s-%s-%s-%s", h[:8], h[8:12], h[12:16], h[16:20], h[20:])
}

// by is who caught it: by name if they want that, else by a number; "" for somebody who is forgotten, or who was only named.
func (l Log) by(e catch.Entry) string {
	if e.WhoID == 0 {
		return ""
	}
	if n := l.Named[e.WhoID]; n != "" {
		return n
	}
	return "angler " + l.number("angler", strconv.FormatInt(e.WhoID, 10))[:8]
}

// fishOf is a kind by its names: both "" where only the writer's word is known.
func fishOf(e catch.Entry) (plain, scientific string) {
	if s, ok := names.ByID(e.Species); ok {
		return s.Canonical, s.Scientific
	}
	return "", ""
}

// written is the name somebody wrote, unless it is one that is never printed.
func written(e catch.Entry) string {
	if names.InputOnly(e.Named) {
		return ""
	}
	return e.Named
}

// text makes a word from outside fit for a cell: one line, nothing that is not seen, and nothing that a spreadsheet takes for a formula.
// Cells that begin with one of these signs get an apostrophe before it (OWASP, CSV Injection), their wide forms too.
func text(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\r' || r == '\n':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == unicode.ReplacementChar:
			return -1
		}
		return r
	}, s)
	s = strings.TrimSpace(s)
	if strings.IndexAny(s, "=+-@＝＋－＠") == 0 {
		return "'" + s
	}
	return s
}

// decimal is a number as programs read it.
func decimal(v float64, digits int) string {
	p := math.Pow(10, float64(digits))
	v = math.Round(v*p) / p
	if v == 0 {
		v = 0 // no "-0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
