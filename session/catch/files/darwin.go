package files

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/session/catch"
	"ledgehand/session/catch/tally"
)

// A Darwin Core archive (Darwin Core text guide, http://rs.tdwg.org/dwc/terms/guides/text/): events, which are trips with their
// effort, are the core; what was caught on them, or not, are occurrences that hang on them. Terms are those of
// http://rs.tdwg.org/dwc/terms/ and, for the licence, http://purl.org/dc/terms/.

// ErrEmpty says that there is nothing to export.
var ErrEmpty = errors.New("nothing was noted")

const (
	dwc     = "http://rs.tdwg.org/dwc/terms/"
	dcterms = "http://purl.org/dc/terms/"
)

var (
	eventTerms = []string{
		dwc + "eventID", dwc + "eventDate", dwc + "samplingProtocol", dwc + "sampleSizeValue", dwc + "sampleSizeUnit", dwc + "samplingEffort", dwc + "locationID",
		dwc + "decimalLatitude", dwc + "decimalLongitude", dwc + "geodeticDatum", dwc + "coordinateUncertaintyInMeters", dwc + "coordinatePrecision", dwc + "dataGeneralizations", dcterms + "license",
	}
	occurrenceTerms = []string{
		dwc + "eventID", dwc + "occurrenceID", dwc + "basisOfRecord", dwc + "occurrenceStatus", dwc + "individualCount", dwc + "scientificName", dwc + "taxonRank", dwc + "vernacularName",
		dwc + "verbatimIdentification", dwc + "recordedBy", dwc + "disposition", dwc + "dynamicProperties", dcterms + "license",
	}
)

// licences are the addresses of those that can be chosen.
var licences = map[string]string{
	"CC0": "http://creativecommons.org/publicdomain/zero/1.0/legalcode", "CC-BY": "http://creativecommons.org/licenses/by/4.0/legalcode", "CC-BY-NC": "http://creativecommons.org/licenses/by-nc/4.0/legalcode",
}

// generalized says what was done to positions.
const generalized = "Position put on a grid of 0.1 degree, on purpose; the place itself is not given. Places are told apart by locationID."

// DarwinCore writes the archive: meta.xml, eml.xml, event.txt, occurrence.txt. A trip on which nobody caught a fish, and whose effort is
// known, is one occurrence of ray-finned fish that is absent; where the effort is not known nothing can be said to be absent.
func DarwinCore(l Log) ([]byte, error) {
	if len(l.Trips) == 0 {
		return nil, fmt.Errorf("write a Darwin Core archive: %w", ErrEmpty)
	}
	if l.Salt == "" {
		return nil, errors.New("write a Darwin Core archive: no salt, so numbers would lead back to people")
	}
	var events, occurrences [][]string
	for _, t := range l.Trips {
		id := "urn:uuid:" + l.number("event", t.Key)
		events = append(events, l.event(id, t))
		occurrences = append(occurrences, l.occurrences(id, t)...)
	}
	meta, err := metaXML()
	if err != nil {
		return nil, err
	}
	eml, err := l.eml()
	if err != nil {
		return nil, err
	}
	event, err := rows(eventTerms, events)
	if err != nil {
		return nil, err
	}
	occurrence, err := rows(occurrenceTerms, occurrences)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, f := range []struct {
		name string
		body []byte
	}{{"meta.xml", meta}, {"eml.xml", eml}, {"event.txt", event}, {"occurrence.txt", occurrence}} {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.name, Method: zip.Deflate, Modified: l.Made.UTC()})
		if err != nil {
			return nil, fmt.Errorf("write a Darwin Core archive: %w", err)
		}
		if _, err := w.Write(f.body); err != nil {
			return nil, fmt.Errorf("write a Darwin Core archive: %w", err)
		}
	}
	if err := z.Close(); err != nil {
		return nil, fmt.Errorf("write a Darwin Core archive: %w", err)
	}
	return out.Bytes(), nil
}

func (l Log) event(id string, t Trip) []string {
	v := map[string]string{dwc + "eventID": id, dwc + "eventDate": t.Date, dwc + "samplingProtocol": "rod and line from the shore", dcterms + "license": licences[l.Licence]}
	if s := t.Stay; s != nil && !s.Open {
		v[dwc+"eventDate"] = s.From.In(t.Zone).Format(time.RFC3339) + "/" + s.To.In(t.Zone).Format(time.RFC3339)
	}
	if t.RodMin > 0 && t.Unrated == 0 && t.Complete() {
		h := decimal(t.RodHours(), 2)
		v[dwc+"sampleSizeValue"], v[dwc+"sampleSizeUnit"], v[dwc+"samplingEffort"] = h, "rod-hour", h+" rod-hours"
	}
	if t.Ledge != "" {
		v[dwc+"locationID"] = "urn:uuid:" + l.number("place", strings.ToLower(t.Ledge))
	}
	if p := t.Place; p != nil {
		v[dwc+"decimalLatitude"], v[dwc+"decimalLongitude"], v[dwc+"geodeticDatum"] = decimal(p.Lat, 1), decimal(p.Lon, 1), "EPSG:4326"
		v[dwc+"coordinateUncertaintyInMeters"], v[dwc+"coordinatePrecision"], v[dwc+"dataGeneralizations"] = strconv.Itoa(p.UncertaintyM), decimal(Grid, 1), generalized
	}
	return ordered(eventTerms, v)
}

func (l Log) occurrences(event string, t Trip) (out [][]string) {
	licence := licences[l.Licence]
	if t.Blank() && t.RodMin > 0 && t.Unrated == 0 && t.Complete() {
		var by []string
		for _, e := range t.Entries {
			if n := l.by(e); n != "" && !slices.Contains(by, text(n)) {
				by = append(by, text(n))
			}
		}
		return [][]string{ordered(occurrenceTerms, map[string]string{
			dwc + "eventID": event, dwc + "occurrenceID": "urn:uuid:" + l.number("absent", t.Key), dwc + "basisOfRecord": "HumanObservation", dwc + "occurrenceStatus": "absent",
			dwc + "individualCount": "0", dwc + "scientificName": "Actinopterygii", dwc + "taxonRank": "class", dwc + "recordedBy": strings.Join(by, " | "), dcterms + "license": licence,
		})}
	}
	for _, e := range t.Entries {
		if e.Blank || e.Count <= 0 {
			continue
		}
		v := map[string]string{
			dwc + "eventID": event, dwc + "occurrenceID": "urn:uuid:" + l.number("occurrence", e.ID), dwc + "basisOfRecord": "HumanObservation", dwc + "occurrenceStatus": "present",
			dwc + "individualCount": strconv.Itoa(e.Count), dwc + "recordedBy": text(l.by(e)), dwc + "verbatimIdentification": text(written(e)),
			dwc + "dynamicProperties": properties(e), dcterms + "license": licence,
		}
		plain, scientific := fishOf(e)
		if v[dwc+"scientificName"] = scientific; scientific == "" {
			v[dwc+"scientificName"] = "incertae sedis" // what is not known is said to be so
		} else {
			v[dwc+"taxonRank"], v[dwc+"vernacularName"] = "species", plain
		}
		switch kept, released, unsaid := tally.Fate(e); {
		case unsaid == 0 && released == 0:
			v[dwc+"disposition"] = "kept"
		case unsaid == 0 && kept == 0:
			v[dwc+"disposition"] = "released"
		}
		out = append(out, ordered(occurrenceTerms, v))
	}
	return out
}

// properties is what Darwin Core has no term for, as JSON.
func properties(e catch.Entry) string {
	kept, released, unsaid := tally.Fate(e)
	p := map[string]any{"kept": kept, "released": released}
	if unsaid > 0 {
		p["keptOrReleasedNotStated"] = unsaid
	}
	var mm []json.Number
	for _, um := range e.LengthsUM {
		mm = append(mm, json.Number(decimal(float64(um)/1000, 1)))
	}
	if len(mm) > 0 {
		p["lengthsInMillimeters"], p["lengthsEstimated"] = mm, e.Estimated
		switch strings.ToUpper(e.Measure) {
		case "TL":
			p["lengthType"] = "total length"
		case "FL":
			p["lengthType"] = "fork length"
		}
	}
	if len(e.WeightsG) > 0 {
		p["weightsInGrams"] = e.WeightsG
	}
	if x := e.Then; x != nil {
		if x.Tide != nil {
			p["predictedTideStage"], p["predictedTideInMeters"], p["tideDatum"] = x.Tide.Stage, x.Tide.HeightM, x.Tide.Datum
			p["nearestTurnOfTide"], p["minutesSinceNearestTurn"] = x.Tide.Turn, x.Tide.TurnMin
		}
		if x.Sea != nil {
			p["forecastSignificantWaveHeightInMeters"] = x.Sea.HsM
			if x.Sea.PeriodS > 0 {
				p["forecastPeakWavePeriodInSeconds"] = x.Sea.PeriodS
			}
			if x.Sea.FromDeg != nil {
				p["forecastWavesFromInDegrees"] = *x.Sea.FromDeg
			}
		}
		if x.Light != "" {
			p["light"] = x.Light
		}
	}
	body, err := json.Marshal(p)
	if err != nil {
		return "" // not a number of the store: nothing is better than half of it
	}
	return string(body)
}

func ordered(terms []string, v map[string]string) []string {
	out := make([]string, len(terms))
	for i, t := range terms {
		out[i] = v[t]
	}
	return out
}

// rows writes a file of the archive: headings are the last part of each term.
func rows(terms []string, all [][]string) ([]byte, error) {
	var out bytes.Buffer
	c := csv.NewWriter(&out)
	head := make([]string, len(terms))
	for i, t := range terms {
		head[i] = t[strings.LastIndexByte(t, '/')+1:]
	}
	if err := errors.Join(c.Write(head), c.WriteAll(all)); err != nil {
		return nil, fmt.Errorf("write a file of a Darwin Core archive: %w", err)
	}
	return out.Bytes(), nil
}

type metaFile struct {
	Encoding string `xml:"encoding,attr"`
	Fields   string `xml:"fieldsTerminatedBy,attr"`
	Lines    string `xml:"linesTerminatedBy,attr"`
	Enclosed string `xml:"fieldsEnclosedBy,attr"`
	Header   int    `xml:"ignoreHeaderLines,attr"`
	RowType  string `xml:"rowType,attr"`
	Location string `xml:"files>location"`

	ID     *metaIndex  `xml:"id,omitempty"`
	CoreID *metaIndex  `xml:"coreid,omitempty"`
	Field  []metaField `xml:"field"`
}

type metaIndex struct {
	Index int `xml:"index,attr"`
}

type metaField struct {
	Index int    `xml:"index,attr"`
	Term  string `xml:"term,attr"`
}

// metaXML describes the two files: element names and attributes are those of the schema of the text guide, tdwg_dwc_text.xsd.
func metaXML() ([]byte, error) {
	file := func(row, name string, terms []string) metaFile {
		f := metaFile{Encoding: "UTF-8", Fields: ",", Lines: `\n`, Enclosed: `"`, Header: 1, RowType: dwc + row, Location: name}
		for i, t := range terms {
			f.Field = append(f.Field, metaField{i, t})
		}
		return f
	}
	core, ext := file("Event", "event.txt", eventTerms), file("Occurrence", "occurrence.txt", occurrenceTerms)
	core.ID, ext.CoreID = &metaIndex{0}, &metaIndex{0}
	return document(struct {
		XMLName   xml.Name `xml:"http://rs.tdwg.org/dwc/text/ archive"`
		Metadata  string   `xml:"metadata,attr"`
		Core      metaFile `xml:"core"`
		Extension metaFile `xml:"extension"`
	}{Metadata: "eml.xml", Core: core, Extension: ext})
}

type para struct {
	Para string `xml:"para"`
}

type party struct {
	Organization string `xml:"organizationName"`
}

// eml says in the least words what the data are (Ecological Metadata Language 2.2.0, module dataset).
func (l Log) eml() ([]byte, error) {
	first, last := l.Trips[0].Date, l.Trips[0].Date
	for _, t := range l.Trips {
		first, last = min(first, t.Date), max(last, t.Date)
	}
	rights := "No licence was chosen: ask whoever gave you this file before you use it."
	if u := licences[l.Licence]; u != "" {
		rights = "This work is licensed under " + l.Licence + ": " + u
	}
	crew := party{"A crew of shore anglers"}
	type period struct {
		Begin string `xml:"beginDate>calendarDate"`
		End   string `xml:"endDate>calendarDate"`
	}
	return document(struct {
		XMLName xml.Name `xml:"eml:eml"`
		NS      string   `xml:"xmlns:eml,attr"`
		Package string   `xml:"packageId,attr"`
		System  string   `xml:"system,attr"`
		Title   string   `xml:"dataset>title"`
		Creator party    `xml:"dataset>creator"`
		Date    string   `xml:"dataset>pubDate"`
		Lang    string   `xml:"dataset>language"`
		What    para     `xml:"dataset>abstract"`
		Rights  para     `xml:"dataset>intellectualRights"`
		When    period   `xml:"dataset>coverage>temporalCoverage>rangeOfDates"`
		Contact party    `xml:"dataset>contact"`
	}{
		NS: "https://eml.ecoinformatics.org/eml-2.2.0", Package: l.number("export", l.Made.UTC().Format(time.RFC3339)), System: "ledgehand",
		Title: "Fish noted by a crew of shore anglers, " + first + " to " + last, Creator: crew, Date: l.Made.UTC().Format(time.DateOnly), Lang: "en",
		What: para{"Catches and trips without a catch, as anglers on rocky shores noted them in their chat. Not a survey: who went when was chosen by them, good days may be reported more often, " +
			"names of fish and lengths were checked by nobody. Effort is rods times hours, where it was stated. Tide and light are computed, the sea is a forecast."},
		Rights: para{rights}, When: period{first, last}, Contact: crew,
	})
}

func document(v any) ([]byte, error) {
	body, err := xml.MarshalIndent(v, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("write a file of a Darwin Core archive: %w", err)
	}
	return append([]byte(xml.Header), append(body, '\n')...), nil
}
