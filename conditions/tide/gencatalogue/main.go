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
	"math"
	"os"
	"sort"
	"strconv"
	"strings"

	"ledgehand/conditions/measure"
)

type station struct {
	ID, Name, TZ, CC, Type, Src, CD, Warn string
	Lat, Lon                              float64
	D                                     map[string]*float64
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
	var records, constants []byte
	var texts strings.Builder
	number := map[string]int{}
	for i, s := range all {
		number[s.ID] = i
	}
	le := binary.LittleEndian
	var first uint32
	for _, s := range all {
		var r [56]byte
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
		datum, msl := s.CD, s.D["MSL"]
		switch {
		case s.Type == "sub":
			datum = "MLLW" // NOAA gives every subordinate station above its own
		case msl == nil:
			// no datum is known above which mean sea level lies: then heights are above mean sea level itself
			datum, msl = "MSL", new(float64)
		}
		r[22], r[23] = byte(datums.number(datum)), byte(sources.number(s.Src))
		for k, v := range []*float64{msl, s.D["HAT"], s.D["LAT"]} {
			stored := int32(math.MinInt32)
			if v != nil && s.Type == "ref" {
				stored = int32(math.Round(*v * 1e4))
			}
			le.PutUint32(r[30+4*k:], uint32(stored))
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
			le.PutUint32(r[42:], first)
			r[25] = byte(len(s.C))
			sorted := make([]string, 0, len(s.C))
			for name := range s.C {
				sorted = append(sorted, name)
			}
			sort.Strings(sorted)
			for _, name := range sorted {
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
			le.PutUint16(r[42:], uint16(ref))
			le.PutUint16(r[44:], uint16(s.Off.TH))
			le.PutUint16(r[46:], uint16(s.Off.TL))
			le.PutUint32(r[48:], uint32(int32(math.Round(s.Off.HH*1e4))))
			le.PutUint32(r[52:], uint32(int32(math.Round(s.Off.HL*1e4))))
		default:
			return nil, fmt.Errorf("%q: type %q", s.ID, s.Type)
		}
		records = append(records, r[:]...)
	}
	out := []byte("LHT1")
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
	at := len(out) + 8 + len(records)
	out = le.AppendUint32(out, uint32(at))
	out = le.AppendUint32(out, uint32(at+len(constants)))
	out = append(out, records...)
	out = append(out, constants...)
	return append(out, texts.String()...), nil
}
