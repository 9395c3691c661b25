package feed

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"ledgehand/conditions/measure"
)

// BuoyStation is one entry of the list of active stations.
type BuoyStation struct {
	ID       string // in capitals, as the names of its files are
	Name     string
	Kind     string // buoy, fixed, dart, tao, usv, other, ...
	Position measure.Position
	Met      bool // it reported weather or waves within the hours before the list was made
}

// DecodeBuoyStations reads the list of active stations (activestations.xml), in its order. The list must be whole: it
// says how many it holds. 0 north 0 east is the place of a real buoy.
func DecodeBuoyStations(raw []byte) ([]BuoyStation, error) {
	d := xml.NewDecoder(bytes.NewReader(raw))
	var out []BuoyStation
	count, depth := -1, 0
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil { // its text may quote the file
			return nil, &BadBody{Why: Unreadable, Detail: fmt.Sprintf("not XML at byte %d", d.InputOffset())}
		}
		switch e := token.(type) {
		case xml.StartElement:
			depth++
			switch {
			case depth == 1:
				if e.Name.Local != "stations" || count >= 0 {
					return nil, &BadBody{Why: WrongShape, Detail: "not a list of stations"}
				}
				n, err := strconv.Atoi(attribute(e, "count"))
				if err != nil || n < 0 {
					return nil, &BadBody{Why: WrongShape, Detail: "count is missing"}
				}
				count = n
			case depth == 2 && e.Name.Local == "station":
				s, err := buoyStation(e)
				if err != nil {
					return nil, err
				}
				out = append(out, s)
			}
		case xml.EndElement:
			depth--
		}
	}
	switch {
	case count < 0:
		return nil, &BadBody{Why: Unreadable, Detail: "empty"}
	case count != len(out):
		return nil, &BadBody{Why: WrongShape, Detail: fmt.Sprintf("%d stations where it says %d", len(out), count)}
	case count == 0:
		return nil, &NoData{Why: AllNull}
	}
	return out, nil
}

func buoyStation(e xml.StartElement) (BuoyStation, error) {
	s := BuoyStation{
		ID: strings.ToUpper(attribute(e, "id")), Name: attribute(e, "name"), Kind: attribute(e, "type"), Met: attribute(e, "met") == "y",
	}
	lat, errLat := measured([]byte(attribute(e, "lat")), math.NaN())
	lon, errLon := measured([]byte(attribute(e, "lon")), math.NaN())
	if s.ID == "" || errLat != nil || errLon != nil {
		return s, &BadBody{Why: WrongShape, Detail: "a station without id or position"}
	}
	s.Position = measure.Position{Lat: lat, Lon: lon}
	if err := s.Position.Check(); err != nil {
		return s, &BadBody{Why: WrongValue, Err: err}
	}
	return s, nil
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// FindBuoyStation finds a station by its id, in capitals or not.
func FindBuoyStation(list []BuoyStation, id string) (BuoyStation, bool) {
	for _, s := range list {
		if strings.EqualFold(s.ID, id) {
			return s, true
		}
	}
	return BuoyStation{}, false
}
