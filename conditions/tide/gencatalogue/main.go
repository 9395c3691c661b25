// Command gencatalogue writes the station catalogue that package tide embeds, from a file of stations, one JSON object
// a line, gzipped. Its format is described in conditions/tide/catalogue.go.
//
//	go run ./conditions/tide/gencatalogue -from ../shared/data/tide/stations.jsonl.gz -to conditions/tide/catalogue.bin
//
// Stations marked with a warning in the source are left out: their phases are hours off.
package main

import (
	"bufio"
	"compress/gzip"
	"encoding/binary"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"log"
	"maps"
	"math"
	"os"
	"slices"
	"sort"
	"strconv"
	"strings"

	"ledgehand/conditions/measure"
)

type station struct {
	ID, Name, TZ, CC, Type, Src, CD, Warn string
	Lat, Lon                              float64
	D                                     map[string]float64
	Gauge                                 *float64 `json:"cd_gauge"` // chart datum above the zero of the gauge
	Epoch                                 []string
	C                                     map[string][2]float64
	Ref                                   string
	Off                                   struct {
		TH, TL int16
		HH, HL float64
		HT     string
	}
	region string
}

func main() {
	log.SetFlags(0)
	from := flag.String("from", "../shared/data/tide/stations.jsonl.gz", "stations, one JSON object a line, gzipped")
	to := flag.String("to", "conditions/tide/catalogue.bin", "file to write")
	flag.Parse()
	if err := run(*from, *to); err != nil {
		log.Fatal(err)
	}
}

func run(from, to string) error {
	all, err := read(from)
	if err != nil {
		return fmt.Errorf("read stations: %w", err)
	}
	regions(all)
	body, err := encode(all)
	if err != nil {
		return fmt.Errorf("encode stations: %w", err)
	}
	if err := os.WriteFile(to, body, 0o644); err != nil {
		return fmt.Errorf("write the catalogue: %w", err)
	}
	fmt.Printf("%d stations, %d bytes\n", len(all), len(body))
	return nil
}

func read(path string) ([]*station, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		return nil, err
	}
	var all []*station
	lines := bufio.NewScanner(z)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		s := new(station)
		if err := json.Unmarshal(lines.Bytes(), s); err != nil {
			return nil, err
		}
		if s.Warn == "" {
			all = append(all, s)
		}
	}
	sort.Slice(all, func(i, j int) bool { return all[i].ID < all[j].ID })
	return all, lines.Err()
}

// states gives the state by the first three digits of a NOAA station number (the agency's numbering; from memory,
// and in agreement with the positions of the stations).
var states = map[string]string{
	"161": "HI", "841": "ME", "842": "NH", "844": "MA", "845": "RI", "846": "CT", "851": "NY", "853": "NJ", "854": "PA",
	"855": "DE", "857": "MD", "859": "DC", "863": "VA", "865": "NC", "866": "SC", "867": "GA", "872": "FL", "873": "AL",
	"874": "MS", "876": "LA", "877": "TX", "941": "CA", "943": "OR", "944": "WA", "945": "AK", "946": "AK", "949": "AK",
}

// regions fills in the state of stations in the United States: by number, else that of the nearest numbered station.
func regions(all []*station) {
	var numbered []*station
	for _, s := range all {
		if no, ok := strings.CutPrefix(s.ID, "noaa/"); ok && s.CC == "US" && len(no) == 7 {
			if s.region = states[no[:3]]; s.region != "" {
				numbered = append(numbered, s)
			}
		}
	}
	const farthestKm = 300
	for _, s := range all {
		switch s.CC {
		case "PR", "VI", "GU", "AS", "MP": // territories have an area code of their own
			s.region = s.CC
		case "US":
			nearest := float64(farthestKm)
			for _, n := range numbered {
				if s.region != "" && nearest == farthestKm {
					break
				}
				if km := measure.DistanceKm(at(s), at(n)); km < nearest {
					nearest, s.region = km, n.region
				}
			}
		}
	}
}

func at(s *station) measure.Position { return measure.Position{Lat: s.Lat, Lon: s.Lon} }

// words numbers the different words of a list.
type words struct {
	list []string
	at   map[string]int
}

func (w *words) number(s string) int {
	if w.at == nil {
		w.at = map[string]int{}
	}
	i, ok := w.at[s]
	if !ok {
		i = len(w.list)
		w.list, w.at[s] = append(w.list, s), i
	}
	return i
}

func encode(all []*station) ([]byte, error) {
	var names, zones, places, datums, sources words
	var records, constants, levels []byte
	var texts strings.Builder
	number := map[string]int{}
	for i, s := range all {
		number[s.ID] = i
	}
	le := binary.LittleEndian
	var first uint32
	for _, s := range all {
		var r [50]byte
		for k, text := range []string{s.ID, s.Name} {
			if len(text) > 255 {
				return nil, fmt.Errorf("%q: text longer than 255 bytes", s.ID)
			}
			le.PutUint32(r[5*k:], uint32(texts.Len()))
			r[5*k+4] = byte(len(text))
			texts.WriteString(text)
		}
		le.PutUint32(r[10:], uint32(int32(math.Round(s.Lat*1e5))))
		le.PutUint32(r[14:], uint32(int32(math.Round(s.Lon*1e5))))
		le.PutUint16(r[18:], uint16(zones.number(s.TZ)))
		r[20], r[21] = byte(places.number(s.CC)), byte(places.number(s.region))
		datum, known := s.CD, levelsOf(s)
		switch _, level := known["MSL"]; {
		case s.Type == "sub":
			datum = "MLLW" // NOAA gives every subordinate station above its own
		case !level:
			// no datum is known above which mean sea level lies: then heights are above mean sea level itself
			datum, known = "MSL", map[string]float64{"MSL": 0}
		}
		r[22], r[23] = byte(datums.number(datum)), byte(sources.number(s.Src))
		if s.Type == "ref" {
			le.PutUint32(r[30:], uint32(len(levels)/5))
			r[34] = byte(len(known))
			for _, name := range slices.Sorted(maps.Keys(known)) {
				levels = append(levels, byte(datums.number(name)))
				levels = le.AppendUint32(levels, uint32(int32(math.Round(known[name]*1e4))))
			}
		}
		if len(s.Epoch) == 2 {
			for k, day := range s.Epoch {
				year, err := strconv.Atoi(day[:4])
				if err != nil {
					return nil, fmt.Errorf("%q: epoch %q: %w", s.ID, day, err)
				}
				le.PutUint16(r[26+2*k:], uint16(year))
			}
		}
		switch s.Type {
		case "ref":
			le.PutUint32(r[36:], first)
			r[25] = byte(len(s.C))
			for _, name := range slices.Sorted(maps.Keys(s.C)) {
				a, g := math.Round(s.C[name][0]*1e4), math.Round(s.C[name][1]*1e2)
				if a < 0 || a > math.MaxUint16 || g < 0 || g > 36000 {
					return nil, fmt.Errorf("%q: %s %v does not fit", s.ID, name, s.C[name])
				}
				constants = append(constants, byte(names.number(name)))
				constants = le.AppendUint16(constants, uint16(a))
				constants = le.AppendUint16(constants, uint16(g))
				first++
			}
		case "sub":
			ref, ok := number[s.Ref]
			if !ok || all[ref].Type != "ref" {
				return nil, fmt.Errorf("%q: no reference station %q", s.ID, s.Ref)
			}
			r[24] = 1
			if s.Off.HT == "fixed" {
				r[24] = 2
			}
			le.PutUint16(r[36:], uint16(ref))
			le.PutUint16(r[38:], uint16(s.Off.TH))
			le.PutUint16(r[40:], uint16(s.Off.TL))
			le.PutUint32(r[42:], uint32(int32(math.Round(s.Off.HH*1e4))))
			le.PutUint32(r[46:], uint32(int32(math.Round(s.Off.HL*1e4))))
		default:
			return nil, fmt.Errorf("%q: type %q", s.ID, s.Type)
		}
		records = append(records, r[:]...)
	}
	out := []byte("LHT2")
	for _, w := range []words{names, zones, places, datums, sources} {
		out = le.AppendUint16(out, uint16(len(w.list)))
		for _, s := range w.list {
			out = append(append(out, byte(len(s))), s...)
		}
	}
	if len(names.list) > 256 || len(places.list) > 256 || len(all) > math.MaxUint16 {
		return nil, errors.New("too many names, places or stations for their fields")
	}
	out = le.AppendUint16(out, uint16(len(all)))
	at := len(out) + 12 + len(records)
	for _, part := range [][]byte{levels, constants, nil} { // where levels, constants and texts begin
		out = le.AppendUint32(out, uint32(at))
		at += len(part)
	}
	out = append(out, records...)
	out = append(out, levels...)
	out = append(out, constants...)
	return append(out, texts.String()...), nil
}

// levelsOf are the datums of a station, metres above its chart datum. STND is the zero of NOAA's gauges, which their
// series are often given above; the zeros of other gauges have no name of their own.
func levelsOf(s *station) map[string]float64 {
	out := maps.Clone(s.D)
	if s.Src == "noaa" && s.Gauge != nil && out != nil {
		out["STND"] = -*s.Gauge
	}
	return out
}
