package files

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"ledgehand/session/catch"
	"ledgehand/session/catch/tally"
)

var zone = time.FixedZone("America/Los_Angeles", -7*3600)

func at(day, hour, minute int) time.Time { return time.Date(2026, 3, day, hour, minute, 0, 0, zone) }

func ptr[T any](v T) *T { return &v }

// aLog has a trip of two people, a blank, one of which the effort is not known, and what was taken back.
func aLog() Log {
	greenling := func(id string, by int64, t time.Time, n int, change ...func(*catch.Entry)) catch.Entry {
		e := catch.Entry{ID: id, At: t, By: by, WhoID: by, Who: map[int64]string{1: "Ana", 2: "Bram", 0: "somebody"}[by], Species: "hexagrammos_decagrammus", Named: "greenling", Count: n, Ledge: "Anvil", Outing: "o1"}
		for _, c := range change {
			c(&e)
		}
		return e
	}
	undone := greenling("u9", 1, at(14, 9, 30), 7, func(e *catch.Entry) { e.LengthsUM = []int{777_000} })
	undone.Undone = at(14, 9, 31)
	days := []catch.Day{
		{Date: "2026-03-14", Entries: []catch.Entry{
			greenling("u1", 1, at(14, 8, 5), 2, func(e *catch.Entry) {
				e.Kept, e.Released, e.LengthsUM, e.Measure, e.Rods, e.RodMin, e.WeightsG = ptr(1), ptr(1), []int{310_000, 284_480}, "TL", 2, 360, []float64{410}
				e.Then = &catch.Then{Tide: &catch.ThenTide{Stage: "ebbing", HeightM: -0.31, Datum: "MLLW", Turn: "high", TurnMin: 90}, Sea: &catch.ThenSea{HsM: 1.6, PeriodS: 13, FromDeg: ptr(245.0)}, Light: "day"}
			}),
			greenling("u1-1", 1, at(14, 8, 5), 1, func(e *catch.Entry) {
				e.Species, e.Named, e.Rods, e.RodMin, e.Kept = "=cmd|'/c calc'!a1", "=cmd|'/c calc'!a1", 2, 360, ptr(0)
			}),
			undone,
			greenling("u2", 2, at(14, 8, 40), 3, func(e *catch.Entry) { e.Rods, e.RodMin, e.Estimated, e.LengthsUM = 1, 180, true, []int{400_000} }),
		}},
		{Date: "2026-03-20", Entries: []catch.Entry{greenling("u3", 1, at(20, 11, 0), 0, func(e *catch.Entry) {
			e.Blank, e.Rods, e.RodMin, e.Outing, e.Species, e.Named = true, 2, 480, "o2", "", ""
		})}},
		{Date: "2026-03-21", Entries: []catch.Entry{greenling("u4", 0, at(21, 11, 0), 0, func(e *catch.Entry) { e.Blank, e.Outing, e.Species, e.Ledge = true, "", "", "" })}},
	}
	trips := tally.Trips(days, map[string]tally.Stay{"o1": {From: at(14, 6, 30), To: at(14, 9, 45)}, "o2": {From: at(20, 8, 0), To: at(20, 12, 0)}})
	l := Log{Salt: "salt of the crew", Made: at(28, 12, 0), Named: map[int64]string{2: "Bram"}}
	p, _ := Coarsen(38.9546, -123.7406)
	for _, t := range trips {
		x := Trip{Trip: t, Zone: zone}
		if t.Ledge != "" {
			x.Place = &p
		}
		l.Trips = append(l.Trips, x)
	}
	return l
}

func tableWords() Words {
	return Words{Headings: Columns, Word: map[string]string{"yes": "yes", "ebbing": "ebbing"}}
}

// read opens a table with the reader of the standard library.
func read(t *testing.T, body []byte) []map[string]string {
	t.Helper()
	r := csv.NewReader(bytes.NewReader(body))
	all, err := r.ReadAll() // refuses rows of another length and stray quotes
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func TestTable(t *testing.T) {
	body, err := CSV(aLog(), tableWords())
	if err != nil {
		t.Fatal(err)
	}
	if n := bytes.Count(body, []byte("\r\n")); n != 6 || bytes.Count(body, []byte("\n")) != n { // RFC 4180, 2: CRLF ends each line
		t.Errorf("%d lines end in CRLF of %d, want 6", n, bytes.Count(body, []byte("\n")))
	}
	rows := read(t, body)
	for i, want := range []map[string]string{
		{"date": "2026-03-14", "time": "08:05", "zone": "America/Los_Angeles", "trip": "1", "ledge": "Anvil", "fish": "kelp greenling", "scientific": "Hexagrammos decagrammus", "count": "2", "kept": "1", "released": "1", "unsaid": "0",
			"lengths_cm": "31 28.45", "measure": "TL", "guessed": "", "weights_g": "410", "rods": "2", "rod_hours": "6", "tide": "ebbing", "tide_m": "-0.31", "datum": "MLLW", "turn": "high", "turn_h": "1.5", "hs_m": "1.6", "period_s": "13", "from_deg": "245", "light": "day", "lat": "39", "lon": "-123.7"},
		{"trip": "1", "count": "1", "kept": "0", "released": "1", "fish": "", "scientific": "", "written": "'=cmd|'/c calc'!a1", "rods": "", "rod_hours": "", "tide": "", "hs_m": ""},
		{"who": "Bram", "count": "3", "kept": "0", "unsaid": "3", "lengths_cm": "40", "guessed": "yes", "rod_hours": "3"},
		{"trip": "2", "date": "2026-03-20", "count": "0", "kept": "", "fish": "", "rod_hours": "8"},
		{"trip": "3", "who": "", "ledge": "", "count": "0", "rod_hours": "", "lat": "", "lon": ""},
	} {
		for k, v := range want {
			if rows[i][k] != v {
				t.Errorf("row %d: %s = %q, want %q", i+1, k, rows[i][k], v)
			}
		}
	}
	if strings.Contains(string(body), "77.7") || strings.Contains(string(body), "Ana") || strings.Contains(string(body), "somebody") {
		t.Errorf("what was taken back, or who did not want to be named, is in it:\n%s", body)
	}
	if a, b := rows[0]["who"], rows[3]["who"]; !regexp.MustCompile(`^angler [0-9a-f]{8}$`).MatchString(a) || a != b {
		t.Errorf("Ana is %q and %q, want one number", a, b)
	}
	if _, err := CSV(aLog(), Words{Headings: []string{"date"}}); err == nil {
		t.Error("a table with headings missing is written")
	}
}

// Whatever people are called or write: every cell is one a spreadsheet shows and does not run, the table reads back, numbers are numbers.
func TestHostileWordsInATable(t *testing.T) {
	hostile := []string{"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1", "\u200b=1", "=HYPERLINK(\"http://example.org\",\"x\")", "a,b", `a"b`, "a\nb", "a\r\nb", "＝1", "", "'=1", "\x00=1", "\u202e=1", "ñandú", "🐟", "\ufeff=1"}
	r := rand.New(rand.NewPCG(1, 1))
	any := func() string { return hostile[r.IntN(len(hostile))] }
	for range 300 {
		l := aLog()
		for i := range l.Trips {
			l.Trips[i].Ledge = any()
			l.Trips[i].Entries = slices.Clone(l.Trips[i].Entries)
			for j := range l.Trips[i].Entries {
				e := &l.Trips[i].Entries[j]
				e.Named, e.Species, e.Measure = any(), any(), any()
				e.Then = &catch.Then{Tide: &catch.ThenTide{Stage: any(), Datum: any(), Turn: any(), HeightM: -1}, Light: any()}
			}
		}
		l.Named = map[int64]string{1: any(), 2: any()}
		w := tableWords()
		w.Headings = slices.Clone(Columns)
		w.Headings[5] = any()
		body, err := CSV(l, w)
		if err != nil {
			t.Fatal(err)
		}
		all, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
		if err != nil || len(all) != 6 {
			t.Fatalf("%d rows, %v:\n%s", len(all), err, body)
		}
		for _, row := range all {
			for i, cell := range row {
				_, err := strconv.ParseFloat(cell, 64)
				number := slices.Contains([]string{"tide_m", "turn_h", "lat", "lon"}, Columns[i]) && err == nil
				if cell != "" && strings.ContainsAny(cell[:1], "=+-@\t\r\n") && !number {
					t.Fatalf("a cell of %s begins a formula: %q", Columns[i], cell)
				}
				if strings.ContainsAny(cell, "\r\n\x00\u200b\u202e\ufeff") {
					t.Fatalf("a cell of %s has what is not seen: %q", Columns[i], cell)
				}
			}
		}
		if body, err = DarwinCore(l); err != nil {
			t.Fatal(err)
		}
		openArchive(t, body)
	}
}

// The true place lies within the uncertainty of the coarse one, anywhere on Earth, and the coarse one says no more than a tenth.
func TestCoarsePositions(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for range 20_000 {
		lat, lon := 180*r.Float64()-90, 360*r.Float64()-180
		p, ok := Coarsen(lat, lon)
		if !ok || math.Abs(p.Lat-lat) > 0.0501 || math.Abs(p.Lon-lon) > 0.0501 || p.Lat*10 != math.Round(p.Lat*10) && math.Abs(p.Lat*10-math.Round(p.Lat*10)) > 1e-9 {
			t.Fatalf("%g, %g is made %+v", lat, lon, p)
		}
		// Great circle on a sphere of 6,378,137 m, the equator's radius: nowhere shorter than on the ellipsoid by more than 0.4 %.
		rad := math.Pi / 180
		a := math.Pow(math.Sin((lat-p.Lat)*rad/2), 2) + math.Cos(lat*rad)*math.Cos(p.Lat*rad)*math.Pow(math.Sin((lon-p.Lon)*rad/2), 2)
		if d := 2 * 6_378_137 * math.Asin(math.Sqrt(a)); d > float64(p.UncertaintyM) || p.UncertaintyM > 8000 {
			t.Fatalf("%g, %g is %.0f m from %+v", lat, lon, d, p)
		}
	}
	for _, x := range [][2]float64{{91, 0}, {0, 181}, {math.NaN(), 0}, {0, math.Inf(1)}} {
		if _, ok := Coarsen(x[0], x[1]); ok {
			t.Errorf("%v is a position", x)
		}
	}
	if p, _ := Coarsen(38.9546, -123.7406); p.Lat != 39 || p.Lon != -123.7 || p.UncertaintyM < 7000 || p.UncertaintyM > 7200 {
		t.Errorf("%+v, want 39, -123.7 within some 7.1 km", p)
	}
}

// archiveFile is one described file of an archive: its columns by term.
type archiveFile struct {
	row     string
	id      int
	columns map[string]int
	rows    [][]string
}

func (f archiveFile) value(row int, term string) string {
	i, ok := f.columns[term]
	if !ok {
		return ""
	}
	return f.rows[row][i]
}

// openArchive is a reader as strict as the text guide and its schema (tdwg_dwc_text.xsd) are: which elements and attributes there are and in
// what order, that every location is there, every index a column, every term one that is published, every id of the core there once, and
// every extension row on one of them.
func openArchive(t *testing.T, body []byte) (core, ext archiveFile, eml string) {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(body), int64(len(body)))
	if err != nil {
		t.Fatal(err)
	}
	content := map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if content[f.Name], err = io.ReadAll(r); err != nil { // checks the sum
			t.Fatal(err)
		}
	}
	known, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "darwincore", "terms.txt"))
	if err != nil {
		t.Fatal(err)
	}
	terms := strings.Fields(string(known))
	var path []string
	order := map[string][]string{}
	attrs := map[string][]map[string]string{}
	text := map[string][]string{}
	d := xml.NewDecoder(bytes.NewReader(content["meta.xml"]))
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("meta.xml: %v", err)
		}
		switch x := tok.(type) {
		case xml.StartElement:
			if x.Name.Space != "http://rs.tdwg.org/dwc/text/" {
				t.Fatalf("meta.xml: <%s> in name space %q", x.Name.Local, x.Name.Space)
			}
			parent := strings.Join(path, "/")
			order[parent] = append(order[parent], x.Name.Local)
			path = append(path, x.Name.Local)
			m := map[string]string{}
			for _, a := range x.Attr {
				if a.Name.Local != "xmlns" {
					m[a.Name.Local] = a.Value
				}
			}
			attrs[strings.Join(path, "/")] = append(attrs[strings.Join(path, "/")], m)
		case xml.CharData:
			if s := strings.TrimSpace(string(x)); s != "" {
				text[strings.Join(path, "/")] = append(text[strings.Join(path, "/")], s)
			}
		case xml.EndElement:
			path = path[:len(path)-1]
		}
	}
	if got := order["archive"]; !slices.Equal(got, []string{"core", "extension"}) {
		t.Fatalf("archive holds %q", got)
	}
	meta := attrs["archive"][0]["metadata"]
	if content[meta] == nil {
		t.Fatalf("the metadata document %q is not there", meta)
	}
	open := func(which, idElement string) archiveFile {
		p := "archive/" + which
		kids := order[p]
		if len(kids) < 3 || kids[0] != "files" || kids[1] != idElement || strings.Trim(strings.Join(kids[2:], ""), "field") != "" {
			t.Fatalf("%s holds %q", which, kids)
		}
		a := attrs[p][0]
		for k := range a {
			if !slices.Contains([]string{"linesTerminatedBy", "fieldsTerminatedBy", "fieldsEnclosedBy", "ignoreHeaderLines", "rowType", "encoding", "dateFormat"}, k) {
				t.Errorf("%s: no such attribute %q", which, k)
			}
		}
		if a["rowType"] == "" || a["encoding"] != "UTF-8" || a["fieldsTerminatedBy"] != "," || a["linesTerminatedBy"] != `\n` || a["fieldsEnclosedBy"] != `"` || a["ignoreHeaderLines"] != "1" {
			t.Errorf("%s: %v", which, a)
		}
		f := archiveFile{row: a["rowType"], columns: map[string]int{}}
		loc := text[p+"/files/location"]
		if len(loc) != 1 || content[loc[0]] == nil {
			t.Fatalf("%s: files %q", which, loc)
		}
		all, err := csv.NewReader(bytes.NewReader(content[loc[0]])).ReadAll()
		if err != nil || len(all) == 0 {
			t.Fatalf("%s: %v", loc[0], err)
		}
		f.rows = all[1:]
		index := func(m map[string]string) int {
			i, err := strconv.Atoi(m["index"])
			if err != nil || i < 0 || i >= len(all[0]) {
				t.Fatalf("%s: index %q of %d columns", which, m["index"], len(all[0]))
			}
			return i
		}
		f.id = index(attrs[p+"/"+idElement][0])
		for _, m := range attrs[p+"/field"] {
			i := index(m)
			if !slices.Contains(terms, m["term"]) {
				t.Errorf("%s: %s is no published term", which, m["term"])
			}
			if _, twice := f.columns[m["term"]]; twice || all[0][i] != m["term"][strings.LastIndexByte(m["term"], '/')+1:] {
				t.Errorf("%s: %s in column %d, %q", which, m["term"], i, all[0][i])
			}
			f.columns[m["term"]] = i
		}
		if len(f.columns) != len(all[0]) {
			t.Errorf("%s: %d of %d columns are described", which, len(f.columns), len(all[0]))
		}
		return f
	}
	core, ext = open("core", "id"), open("extension", "coreid")
	ids := map[string]bool{}
	for _, r := range core.rows {
		if id := r[core.id]; id == "" || ids[id] {
			t.Errorf("the core has id %q twice, or not", id)
		}
		ids[r[core.id]] = true
	}
	for _, r := range ext.rows {
		if !ids[r[ext.id]] {
			t.Errorf("a row hangs on %q, which is not there", r[ext.id])
		}
	}
	return core, ext, string(content[meta])
}

func TestDarwinCoreArchive(t *testing.T) {
	l := aLog()
	l.Licence = "CC-BY"
	body, err := DarwinCore(l)
	if err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("LEDGEHAND_ARCHIVE"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, "dwca.zip"), body, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	core, ext, eml := openArchive(t, body)
	if core.row != dwc+"Event" || ext.row != dwc+"Occurrence" || len(core.rows) != 3 || len(ext.rows) != 4 {
		t.Fatalf("%d of %s, %d of %s; want 3 events and 4 occurrences", len(core.rows), core.row, len(ext.rows), ext.row)
	}
	for i, want := range []map[string]string{
		{"eventDate": "2026-03-14T06:30:00-07:00/2026-03-14T09:45:00-07:00", "sampleSizeValue": "9", "sampleSizeUnit": "rod-hour", "samplingEffort": "9 rod-hours", "decimalLatitude": "39", "decimalLongitude": "-123.7",
			"geodeticDatum": "EPSG:4326", "coordinateUncertaintyInMeters": "7100", "coordinatePrecision": "0.1", "dataGeneralizations": generalized},
		{"eventDate": "2026-03-20T08:00:00-07:00/2026-03-20T12:00:00-07:00", "sampleSizeValue": "8"},
		{"eventDate": "2026-03-21", "sampleSizeValue": "", "samplingEffort": "", "decimalLatitude": "", "coordinateUncertaintyInMeters": "", "locationID": "", "dataGeneralizations": ""},
	} {
		for k, v := range want {
			if got := core.value(i, dwc+k); got != v {
				t.Errorf("event %d: %s = %q, want %q", i, k, got, v)
			}
		}
		if got := core.value(i, dcterms+"license"); got != licences["CC-BY"] {
			t.Errorf("event %d: licence %q", i, got)
		}
	}
	if a, b := core.value(0, dwc+"locationID"), core.value(1, dwc+"locationID"); a != b || a == "" || strings.Contains(a, "nvil") {
		t.Errorf("the same ledge is %q and %q", a, b)
	}
	seen := map[string]bool{}
	for i, want := range []map[string]string{
		{"occurrenceStatus": "present", "individualCount": "2", "scientificName": "Hexagrammos decagrammus", "taxonRank": "species", "vernacularName": "kelp greenling", "disposition": ""},
		{"individualCount": "1", "scientificName": "incertae sedis", "taxonRank": "", "verbatimIdentification": "'=cmd|'/c calc'!a1", "disposition": "released"},
		{"individualCount": "3", "recordedBy": "Bram", "disposition": ""},
		{"occurrenceStatus": "absent", "individualCount": "0", "scientificName": "Actinopterygii", "taxonRank": "class", "eventID": core.value(1, dwc+"eventID")},
	} {
		want["basisOfRecord"] = "HumanObservation"
		for k, v := range want {
			if got := ext.value(i, dwc+k); got != v {
				t.Errorf("occurrence %d: %s = %q, want %q", i, k, got, v)
			}
		}
		// RFC 9562: version 8 in the 13th digit, the variant in the 17th.
		id := ext.value(i, dwc+"occurrenceID")
		if !regexp.MustCompile(`^urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`).MatchString(id) || seen[id] {
			t.Errorf("occurrence %d: id %q", i, id)
		}
		seen[id] = true
	}
	var p map[string]any
	if err := json.Unmarshal([]byte(ext.value(0, dwc+"dynamicProperties")), &p); err != nil {
		t.Fatal(err)
	}
	for k, v := range map[string]any{"kept": 1.0, "released": 1.0, "lengthType": "total length", "lengthsEstimated": false, "predictedTideInMeters": -0.31, "forecastSignificantWaveHeightInMeters": 1.6, "light": "day"} {
		if p[k] != v {
			t.Errorf("%s = %v, want %v", k, p[k], v)
		}
	}
	if got := fmt.Sprint(p["lengthsInMillimeters"]); got != "[310 284.5]" {
		t.Errorf("lengths %s", got)
	}
	var doc struct {
		XMLName xml.Name
		Title   string `xml:"dataset>title"`
		Creator string `xml:"dataset>creator>organizationName"`
		Rights  string `xml:"dataset>intellectualRights>para"`
		Begin   string `xml:"dataset>coverage>temporalCoverage>rangeOfDates>beginDate>calendarDate"`
		Contact string `xml:"dataset>contact>organizationName"`
	}
	if err := xml.Unmarshal([]byte(eml), &doc); err != nil || doc.XMLName.Space != "https://eml.ecoinformatics.org/eml-2.2.0" || doc.Title == "" || doc.Creator == "" || doc.Contact == "" || doc.Begin != "2026-03-14" || !strings.Contains(doc.Rights, licences["CC-BY"]) {
		t.Errorf("eml.xml: %v, %+v", err, doc)
	}
	all := string(body) + eml
	for _, r := range append(core.rows, ext.rows...) {
		all += strings.Join(r, ",")
	}
	for _, secret := range []string{"38.95", "123.74", "Anvil", "Ana", "somebody", "777", "salt of"} {
		if strings.Contains(all, secret) {
			t.Errorf("%q is in the archive", secret)
		}
	}
}

// The same log makes the same bytes and the same ids; another crew's salt makes others; what is noted later changes no id.
func TestIDsStay(t *testing.T) {
	l := aLog()
	first, err := DarwinCore(l)
	if err != nil {
		t.Fatal(err)
	}
	again, err := DarwinCore(l)
	if err != nil || !bytes.Equal(first, again) {
		t.Errorf("the same log makes another file: %v", err)
	}
	ids := func(l Log) (out []string) {
		body, err := DarwinCore(l)
		if err != nil {
			t.Fatal(err)
		}
		core, ext, _ := openArchive(t, body)
		for i := range core.rows {
			out = append(out, core.value(i, dwc+"eventID"))
		}
		for i := range ext.rows {
			out = append(out, ext.value(i, dwc+"occurrenceID"))
		}
		return out
	}
	before := ids(l)
	later := l
	later.Made = l.Made.Add(time.Hour)
	later.Trips = append(slices.Clone(l.Trips), Trip{Trip: tally.Trip{Key: "day/2026-04-01/", Date: "2026-04-01", Entries: []catch.Entry{{ID: "u7", Count: 1, At: at(32, 8, 0)}}}, Zone: zone})
	for _, id := range before {
		if !slices.Contains(ids(later), id) {
			t.Errorf("%s is gone after another line", id)
		}
	}
	l.Salt = "another crew's"
	for _, id := range ids(l) {
		if slices.Contains(before, id) {
			t.Errorf("%s is the same for another crew", id)
		}
	}
	l.Salt = ""
	if _, err := DarwinCore(l); err == nil {
		t.Error("an archive without a salt")
	}
	if _, err := DarwinCore(Log{Salt: "x"}); !errors.Is(err, ErrEmpty) {
		t.Errorf("an empty archive: %v", err)
	}
}
