package feed

import (
	"bytes"
	"errors"
	"testing"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/warning"
)

func TestRead(t *testing.T) {
	at := func(p measure.Position) *measure.Position { return &p }
	for _, tc := range []struct {
		kind Kind
		raw  []byte
		at   *measure.Position
		now  time.Time
		ok   func(Reading) bool
	}{
		{OpenMeteoMarine, sample(t, "marine_sydney_rising_longperiod.constructed.json"), at(sydney), begin, func(r Reading) bool { return len(r.Sea.Hours) == 168 }},
		{OpenMeteoForecast, sample(t, "forecast_sydney_rising_longperiod.constructed.json"), at(sydney), begin, func(r Reading) bool { return len(r.Weather.Hours) == 168 }},
		{MetOcean, sample(t, "oceanforecast_lofoten.constructed.json"), at(lofoten), metBegin, func(r Reading) bool { return len(r.Sea.Hours) == 120 && len(r.Currents) == 120 }},
		{MetLocation, sample(t, "locationforecast_complete_lofoten.constructed.json"), at(lofoten), metBegin, func(r Reading) bool { return len(r.Weather.Hours) == 72 && len(r.Sky) == 72 }},
		{NDBCText, sample(t, "46xxx_big_swell.constructed.txt"), nil, bigSwell, func(r Reading) bool { return len(r.Buoy.Observations) == 288 }},
		{NDBCSpec, sample(t, "46xxx_big_swell.constructed.spec"), nil, bigSwell, func(r Reading) bool { return len(r.Buoy.Observations) == 48 }},
		{NDBCLatest, []byte(latestSample), at(measure.Position{Lat: 39, Lon: -124}), ts("2026-12-06T15:40:00Z"), func(r Reading) bool { return stationsOf(r.Near) == "46902 46901" }},
		{CoopsPredictions, sample(t, "9414290_predictions_hilo_mllw_m_gmt.constructed.json"), nil, begin, func(r Reading) bool { return len(r.Tides.List) == 12 }},
		{NWSAlerts, sample(t, "alerts_active_central_california.constructed.json"), nil, ts("2026-12-05T13:30:00Z"), func(r Reading) bool { return len(r.Warnings) == 3 }},
	} {
		t.Run(string(tc.kind), func(t *testing.T) {
			r, err := Read(tc.kind, tc.raw, Asked{Now: tc.now, At: tc.at})
			if err != nil || !tc.ok(r) {
				t.Errorf("Read = %+v, %v", r, err)
			}
			wrong := measure.Position{Lat: 100}
			if _, err := Read(tc.kind, tc.raw, Asked{Now: tc.now, At: &wrong}); !errors.Is(err, ErrNoPlace) {
				t.Errorf("Read at no place = %v, want ErrNoPlace", err)
			}
			if r, err := Read(tc.kind, tc.raw[:len(tc.raw)/3], Asked{Now: tc.now, At: tc.at}); tc.raw[0] == '{' {
				if s, _ := Status(err); s != "refused" {
					t.Errorf("Read of a third = %+v, %v, want refused", r, err)
				}
			}
			if tc.at == nil {
				return
			}
			if _, err := Read(tc.kind, tc.raw, Asked{Now: tc.now}); !errors.Is(err, ErrNoPlace) {
				t.Errorf("Read without a place = %v, want ErrNoPlace", err)
			}
		})
	}
	t.Run("no buoy near", func(t *testing.T) {
		_, err := Read(NDBCLatest, []byte(latestSample), Asked{Now: ts("2026-12-06T15:40:00Z"), At: at(sydney)})
		wantStatus(t, err, "unknown", NotCovered)
	})
	t.Run("an unknown kind", func(t *testing.T) {
		if _, err := Read("surf.today", nil, Asked{Now: begin}); !errors.Is(err, ErrKind) {
			t.Errorf("Read = %v, want ErrKind", err)
		}
	})
}

// Every kind that is listed can be read, and markup, text and nothing are refused by all of forecasts and lists.
func TestReadEveryKind(t *testing.T) {
	for _, k := range Kinds() {
		for _, raw := range []string{"", "<html><body>maintenance</body></html>", "try again later", "{}", "[]", "null"} {
			r, err := Read(k, []byte(raw), Asked{Now: begin, At: &sydney})
			if errors.Is(err, ErrKind) {
				t.Fatalf("%s: %v", k, err)
			}
			if s, why := Status(err); s != "refused" || why == "" || len(r.Warnings) > 0 {
				t.Errorf("%s of %q = %+v, %v, want refused", k, raw, r, err)
			}
		}
	}
}

func TestAlertsPlacedByOutline(t *testing.T) {
	raw := sample(t, "alerts_active_central_california.constructed.json")
	now := ts("2026-12-05T13:30:00Z")
	// The Special Marine Warning is outlined by 34.70 to 35.10 N, 120.58 to 120.95 W; the two others carry no outline.
	covers := func(t *testing.T, raw []byte, q Asked) map[string]string {
		t.Helper()
		q.Now = now
		r, err := Read(NWSAlerts, raw, q)
		if err != nil {
			t.Fatalf("Read: %v", err)
		}
		out := map[string]string{}
		for _, w := range r.Warnings {
			switch {
			case w.Covers == nil:
				out[w.Event] = "cannot tell"
			case *w.Covers:
				out[w.Event] = "yes"
			default:
				out[w.Event] = "no"
			}
		}
		return out
	}
	swap := func(old, new string) []byte {
		if !bytes.Contains(raw, []byte(old)) {
			t.Fatalf("the sample has no %q", old)
		}
		return bytes.Replace(raw, []byte(old), []byte(new), 1)
	}
	here := &measure.Position{Lat: 34.9, Lon: -120.75}
	several := bytes.Replace(swap(`"type": "Polygon"`, `"type": "MultiPolygon"`), []byte(`"coordinates": [`), []byte(`"coordinates": [[[[0,0],[1,0],[1,1],[0,0]]],[`), 1)
	several = bytes.Replace(several, []byte("     ]\n    ]\n   },"), []byte("     ]\n    ]]\n   },"), 1)
	for _, tc := range []struct {
		name string
		raw  []byte
		q    Asked
		want string // of the Special Marine Warning
	}{
		{"within", raw, Asked{At: here}, "yes"},
		{"just outside, within the margin", raw, Asked{At: &measure.Position{Lat: 34.9, Lon: -120.55}}, "yes"},
		{"elsewhere", raw, Asked{At: &measure.Position{Lat: 36, Lon: -121.5}}, "no"},
		{"longitude and latitude are not mixed up", raw, Asked{At: &measure.Position{Lat: -34.9, Lon: 120.75}}, "no"},
		{"no place", raw, Asked{}, "cannot tell"},
		{"elsewhere, in a zone it is for", raw, Asked{At: &measure.Position{Lat: 36, Lon: -121.5}, Zones: []string{"PZZ645"}}, "yes"},
		{"within, in another zone", raw, Asked{At: here, Zones: []string{"PZZ455"}}, "yes"},
		{"a shape that is no area", swap(`"type": "Polygon"`, `"type": "LineString"`), Asked{At: here}, "cannot tell"},
		{"a shape that cannot be read", swap("-120.95,\n       34.75\n      ],\n      [\n       -120.6", "-120.95\n      ],\n      [\n       -120.6"), Asked{At: here}, "cannot tell"},
		{"a corner off the globe", swap("-120.95,\n       34.75", "-320.95,\n       34.75"), Asked{At: here}, "cannot tell"},
		{"several areas", several, Asked{At: here}, "yes"},
		{"several areas, one of them unread", bytes.Replace(several, []byte("[0,0],[1,0]"), []byte("[0,0],[1]"), 1), Asked{At: &measure.Position{Lat: 36, Lon: -121.5}}, "cannot tell"},
		{"several areas, none of them here", several, Asked{At: &measure.Position{Lat: 36, Lon: -121.5}}, "no"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := covers(t, tc.raw, tc.q)["Special Marine Warning"]; got != tc.want {
				t.Errorf("covers = %q, want %q", got, tc.want)
			}
		})
	}
	t.Run("without an outline a position cannot place", func(t *testing.T) {
		if got := covers(t, raw, Asked{At: here}); got["High Surf Advisory"] != "cannot tell" || got["Gale Warning"] != "cannot tell" {
			t.Errorf("covers = %v, want cannot tell", got)
		}
	})
}

func TestAlertsThatSayTooLittle(t *testing.T) {
	raw := sample(t, "alerts_active_central_california.constructed.json")
	r, err := Read(NWSAlerts, raw, Asked{Now: ts("2026-12-06T13:16:00Z")})
	wantStatus(t, err, "unknown", TooOld)
	if len(r.Warnings) != 3 || !r.Warnings[0].Standing.Shown() {
		t.Errorf("warnings = %+v, want what the old list holds", r.Warnings)
	}
	more := bytes.Replace(raw, []byte(`"title": "Current`), []byte(`"pagination":{"next":"https://api.weather.gov/alerts?cursor=x"},"title": "Current`), 1)
	r, err = Read(NWSAlerts, more, Asked{Now: ts("2026-12-05T13:30:00Z")})
	wantStatus(t, err, "unknown", Incomplete)
	if len(r.Warnings) != 3 {
		t.Errorf("%d warnings, want 3", len(r.Warnings))
	}
	r, err = Read(NWSAlerts, raw, Asked{Now: ts("2026-12-05T15:30:00Z")})
	if err != nil || r.Warnings[2].Event != "Special Marine Warning" && r.Warnings[1].Event != "Special Marine Warning" {
		t.Fatalf("Read = %+v, %v", r, err)
	}
	for _, w := range r.Warnings { // those over are in the reading, and say so
		if w.Event == "Special Marine Warning" && w.Standing != warning.Over {
			t.Errorf("standing = %q, want over", w.Standing)
		}
	}
}

// capOf is an invented message with one area, given as its elements.
func capOf(kind, area string) []byte {
	return []byte(`<?xml version="1.0" encoding="UTF-8"?>
<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2"><identifier>EX.1</identifier><sender>warnings@feeds.example</sender><sent>2026-12-05T08:00:00+00:00</sent>
<status>Actual</status><msgType>` + kind + `</msgType><scope>Public</scope>
<info><language>en</language><category>Met</category><event>Hazardous Surf Warning</event><urgency>Expected</urgency><severity>Severe</severity><certainty>Likely</certainty>
<onset>2026-12-06T00:00:00+11:00</onset><expires>2026-12-06T18:00:00+11:00</expires><area><areaDesc>Coast</areaDesc>` + area + `</area></info></alert>`)
}

func TestReadCAP(t *testing.T) {
	const square = `<polygon>-34,151 -34,152 -33,152 -33,151 -34,151</polygon>`
	now := ts("2026-12-05T09:00:00Z")
	for _, tc := range []struct {
		name, area string
		at         *measure.Position
		want       string
	}{
		{"inside", square, &measure.Position{Lat: -33.5, Lon: 151.5}, "yes"},
		{"outside", square, &measure.Position{Lat: -36, Lon: 151.5}, "no"},
		{"by a code nobody has an outline for", `<geocode><valueName>EMMA_ID</valueName><value>ES999</value></geocode>`, &measure.Position{Lat: -36, Lon: 151.5}, "cannot tell"},
		{"no place asked for", square, nil, "cannot tell"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r, err := Read(CAPMessage, capOf("Alert", tc.area), Asked{Now: now, At: tc.at})
			if err != nil || len(r.Warnings) != 1 {
				t.Fatalf("Read = %+v, %v, want one warning", r, err)
			}
			w := r.Warnings[0]
			got := "cannot tell"
			if w.Covers != nil {
				got = map[bool]string{true: "yes", false: "no"}[*w.Covers]
			}
			if got != tc.want || w.Standing != warning.ToCome || !w.Onset.Equal(ts("2026-12-05T13:00:00Z")) {
				t.Errorf("covers %q, %q from %v, want %q, to come from 13:00 UTC", got, w.Standing, w.Onset, tc.want)
			}
		})
	}
	t.Run("a cancel is read, and takes back", func(t *testing.T) {
		r, err := Read(CAPMessage, capOf("Cancel", square), Asked{Now: now, At: &sydney})
		if err != nil || len(r.Warnings) != 1 || r.Warnings[0].Standing != warning.Cancelled {
			t.Errorf("Read = %+v, %v, want one cancelled", r, err)
		}
	})
	for _, tc := range []struct {
		name string
		kind Kind
		raw  []byte
	}{
		{"an index as a message", CAPMessage, atomOf("2026-12-05T08:05:00Z", "")},
		{"a message as an index", CAPIndex, capOf("Alert", square)},
		{"a message cut off", CAPMessage, capOf("Alert", square)[:500]},
		{"an index cut off", CAPIndex, atomOf("2026-12-05T08:05:00Z", capEntry)[:300]},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r, err := Read(tc.kind, tc.raw, Asked{Now: now, At: &sydney})
			if s, why := Status(err); s != "refused" || why != Unreadable && why != WrongShape || len(r.Warnings) > 0 {
				t.Errorf("Read = %+v, %v, want refused", r, err)
			}
		})
	}
}

const capEntry = `<entry><id>https://feeds.example/cap/1</id><title>Coastal event</title><updated>2026-12-05T08:00:30Z</updated><link type="application/cap+xml" href="https://feeds.example/cap/1"/>
<cap:event>Severe coastal event warning</cap:event><cap:onset>2026-12-06T12:00:00+01:00</cap:onset><cap:expires>2026-12-07T00:00:00+01:00</cap:expires><cap:status>Actual</cap:status></entry>`

func atomOf(updated, entries string) []byte {
	return []byte(`<?xml version="1.0" encoding="UTF-8"?>
<feed xmlns="http://www.w3.org/2005/Atom" xmlns:cap="urn:oasis:names:tc:emergency:cap:1.2"><title>Warnings</title><updated>` + updated + `</updated>` + entries + `</feed>`)
}

func TestReadCAPIndex(t *testing.T) {
	for _, tc := range []struct {
		name, now string
		raw       []byte
		status    string
		why       Why
		n         int
	}{
		{"one entry, not placed", "2026-12-05T09:00:00Z", atomOf("2026-12-05T08:05:00Z", capEntry), "ok", "", 1},
		{"a day and more later it says nothing, and what it said is told", "2026-12-06T08:06:00Z", atomOf("2026-12-05T08:05:00Z", capEntry), "unknown", TooOld, 1},
		{"no entries is not none", "2026-12-05T09:00:00Z", atomOf("2026-12-05T08:05:00Z", ""), "unknown", AllNull, 0},
		{"no entries of years ago", "2026-12-05T09:00:00Z", atomOf("2015-12-05T08:05:00Z", ""), "unknown", TooOld, 0},
		{"over by its entry, perhaps not by its message", "2026-12-07T01:00:00Z", atomOf("2026-12-07T00:30:00Z", capEntry), "unknown", Incomplete, 1},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r, err := Read(CAPIndex, tc.raw, Asked{Now: ts(tc.now), At: &lofoten})
			wantStatus(t, err, tc.status, tc.why)
			if len(r.Warnings) != tc.n {
				t.Errorf("%d warnings, want %d: %+v", len(r.Warnings), tc.n, r.Warnings)
			}
			for _, w := range r.Warnings {
				if w.Covers != nil {
					t.Errorf("covers = %v, want not placed", *w.Covers)
				}
			}
		})
	}
}
