package tide

import (
	_ "embed"
	"math"
	"sort"
	"sync"

	"ledgehand/conditions/measure"
)

// catalogueFile is written by `go run ./conditions/tide/gencatalogue`. It is read in place: nothing is decoded at
// start, a station costs its own record and its constants cost only when asked for.
//
// All numbers are little-endian.
//
//	"LHT2"
//	five word lists (constituents, zones, countries and regions, datums, sources): count uint16, then length byte + text
//	station count uint16, offsets of levels, constants and texts uint32
//	station records of recordSize bytes, sorted by id:
//	   0 id: offset in texts uint32, length byte      5 name: the same
//	  10 latitude, longitude int32 in 1e-5°          18 zone uint16
//	  20 country, region, datum, source bytes        24 kind byte: 0 reference, 1 subordinate by ratio, 2 by metres
//	  25 count of constants byte                     26 first, last year uint16
//	  30 number of the first level uint32            34 count of levels byte, one byte free
//	  36 reference: number of its first constant uint32
//	     subordinate: record number uint16, minutes later high, low int16
//	  42 subordinate: high, low int32 in 1e-4
//	levels of levelSize bytes: datum byte, metres above the station's chart datum int32 in 0.1 mm
//	constants of constantSize bytes: name byte, amplitude uint16 in 0.1 mm, phase uint16 in 0.01°
//	texts
//
//go:embed catalogue.bin
var catalogueFile string

const (
	magic        = "LHT2"
	recordSize   = 50
	constantSize = 5
	levelSize    = 5
)

type catalogue struct {
	names, zones, places, datums, sources []string
	count                                 int
	records, levels, constants, texts     string
}

var stations = sync.OnceValue(func() catalogue { return readCatalogue(catalogueFile) })

func readCatalogue(s string) catalogue {
	var c catalogue
	if s[:len(magic)] != magic {
		panic("tide catalogue: wrong format") // the file is ours and tested
	}
	at := len(magic)
	for _, list := range []*[]string{&c.names, &c.zones, &c.places, &c.datums, &c.sources} {
		n := int(u16(s, at))
		at += 2
		for range n {
			l := int(s[at])
			*list = append(*list, s[at+1:at+1+l])
			at += 1 + l
		}
	}
	c.count = int(u16(s, at))
	levels, constants, texts := int(u32(s, at+2)), int(u32(s, at+6)), int(u32(s, at+10))
	c.records, c.levels, c.constants, c.texts = s[at+14:levels], s[levels:constants], s[constants:texts], s[texts:]
	return c
}

func u16(s string, at int) uint16 { return uint16(s[at]) | uint16(s[at+1])<<8 }
func u32(s string, at int) uint32 { return uint32(u16(s, at)) | uint32(u16(s, at+2))<<16 }
func i32(s string, at int) int32  { return int32(u32(s, at)) }

func (c catalogue) record(i int) string { return c.records[i*recordSize : (i+1)*recordSize] }

func (c catalogue) text(r string, at int) string {
	from := int(u32(r, at))
	return c.texts[from : from+int(r[at+4])]
}

func (c catalogue) position(r string) measure.Position {
	return measure.Position{Lat: float64(i32(r, 10)) / 1e5, Lon: float64(i32(r, 14)) / 1e5}
}

// find gives the number of the record with an id.
func (c catalogue) find(id string) (int, bool) {
	i := sort.Search(c.count, func(i int) bool { return c.text(c.record(i), 0) >= id })
	return i, i < c.count && c.text(c.record(i), 0) == id
}

// level is how high a datum lies above the chart datum of a record; NaN when that is not known.
func (c catalogue) level(r, datum string) measure.Metres {
	first := int(u32(r, 30))
	for i := range int(r[34]) {
		l := c.levels[(first+i)*levelSize:]
		if c.datums[l[0]] == datum {
			return measure.Metres(float64(i32(l, 1)) / 1e4)
		}
	}
	return measure.Metres(math.NaN())
}

func (c catalogue) station(i int) Station {
	r := c.record(i)
	s := Station{
		ID: c.text(r, 0), Name: c.text(r, 5), Position: c.position(r),
		Zone: c.zones[u16(r, 18)], Country: c.places[r[20]], Region: c.places[r[21]],
		Datum: c.datums[r[22]], Source: c.sources[r[23]],
		FirstYear: int(u16(r, 26)), LastYear: int(u16(r, 28)),
		MeanLevel: c.level(r, "MSL"), Highest: c.level(r, "HAT"), Lowest: c.level(r, "LAT"),
	}
	s.Licence, s.Brief, s.Credit = sources[s.Source].licence, sources[s.Source].brief, sources[s.Source].credit
	if r[24] == 0 {
		s.Warning = warningOf(c.constituents(r), 1)
		return s
	}
	s.Subordinate = true
	ref := c.record(int(u16(r, 36)))
	s.Reference = c.text(ref, 0)
	s.Offsets = Offsets{
		HighLater: minutes(int16(u16(r, 38))), LowLater: minutes(int16(u16(r, 40))),
		High: float64(i32(r, 42)) / 1e4, Low: float64(i32(r, 46)) / 1e4, Ratio: r[24] == 1,
	}
	s.Warning = warningOf(c.constituents(ref), s.Offsets.scale())
	return s
}

func (c catalogue) constituents(r string) []Constituent {
	if r[24] != 0 {
		return nil
	}
	first, n := int(u32(r, 36)), int(r[25])
	out := make([]Constituent, n)
	for i := range out {
		k := c.constants[(first+i)*constantSize:]
		out[i] = Constituent{c.names[k[0]], measure.Metres(float64(u16(k, 1)) / 1e4), float64(u16(k, 3)) / 1e2}
	}
	return out
}

// Find gives the station with an id, or an UnknownStationError.
func Find(id string) (Station, error) {
	c := stations()
	i, ok := c.find(id)
	if !ok {
		return Station{}, UnknownStationError{ID: id}
	}
	return c.station(i), nil
}

// Constituents gives the harmonic constants of a reference station; nil for a subordinate or unknown one.
func Constituents(id string) []Constituent {
	c := stations()
	i, ok := c.find(id)
	if !ok {
		return nil
	}
	return c.constituents(c.record(i))
}

// Stations is how many stations the catalogue holds.
func Stations() int { return stations().count }
