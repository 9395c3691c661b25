package feed

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/warning"
)

func mustAlerts(t testing.TB, raw []byte) Alerts {
	t.Helper()
	a, err := DecodeAlerts(raw)
	if err != nil {
		t.Fatalf("DecodeAlerts: %v", err)
	}
	return a
}

func events(w conditions.Warnings) []string {
	var out []string
	for _, x := range w.List {
		out = append(out, x.Event)
	}
	return out
}

func TestAlertsOfACoast(t *testing.T) {
	a := mustAlerts(t, sample(t, "alerts_active_central_california.constructed.json"))
	t.Run("each is judged, the gravest first, words verbatim", func(t *testing.T) {
		w := a.Judge(WarningPlace{Zones: []string{"CAZ340", "PZZ645"}}, warning.Geocodes{}, ts("2026-12-05T13:30:00Z"))
		if want := []string{"High Surf Advisory", "Special Marine Warning", "Gale Warning"}; w.State != conditions.WarningsInForce || !slices.Equal(events(w), want) {
			t.Fatalf("Judge = %q %v, want in force %v", w.State, events(w), want)
		}
		surf := w.List[0]
		if surf.Concern != conditions.Red || surf.Covers == nil || !*surf.Covers || !surf.Onset.Equal(ts("2026-12-06T00:00:00Z")) || !surf.Ends.Equal(ts("2026-12-08T06:00:00Z")) {
			t.Errorf("surf = %+v, want red, here, 00:00 on the 6th to 06:00 on the 8th UTC", surf)
		}
		if want := "High Surf Advisory issued 2026-12-05T03:30:00-08:00 by NWS Los Angeles/Oxnard CA"; surf.Headline != want {
			t.Errorf("headline = %q, want %q", surf.Headline, want)
		}
		if !strings.Contains(surf.Text, "wash people off beaches and rocks") || !strings.HasSuffix(surf.Text, "stay off rock jetties.") || surf.Sender != "NWS Los Angeles/Oxnard CA" {
			t.Errorf("text = %q, sender %q, want description, instruction, sender as sent", surf.Text, surf.Sender)
		}
	})
	t.Run("past its message's expiry the surf is still there", func(t *testing.T) {
		w := a.Judge(WarningPlace{Zones: []string{"CAZ340", "PZZ645"}}, warning.Geocodes{}, ts("2026-12-06T10:00:00Z"))
		if want := []string{"High Surf Advisory", "Gale Warning"}; !slices.Equal(events(w), want) {
			t.Errorf("Judge = %v, want %v", events(w), want)
		}
	})
	t.Run("without zones all are shown, none placed", func(t *testing.T) {
		w := a.Judge(WarningPlace{State: "CA"}, warning.Geocodes{}, ts("2026-12-05T13:30:00Z"))
		if len(w.List) != 3 || slices.ContainsFunc(w.List, func(x conditions.Warning) bool { return x.Covers != nil }) {
			t.Errorf("Judge = %+v, want three not placed", w.List)
		}
	})
	t.Run("elsewhere they are left out", func(t *testing.T) {
		w := a.Judge(WarningPlace{Zones: []string{"CAZ109", "PZZ455"}}, warning.Geocodes{}, ts("2026-12-05T13:30:00Z"))
		if w.State != conditions.WarningsNone || len(w.List) != 0 {
			t.Errorf("Judge = %q %v, want none", w.State, events(w))
		}
	})
	t.Run("the land zone alone does not say which sea", func(t *testing.T) {
		w := a.Judge(WarningPlace{Zones: []string{"CAZ109"}}, warning.Geocodes{}, ts("2026-12-05T13:30:00Z"))
		if want := []string{"Special Marine Warning", "Gale Warning"}; !slices.Equal(events(w), want) || w.List[0].Covers != nil {
			t.Errorf("Judge = %v, want %v not placed", events(w), want)
		}
	})
	t.Run("a list of long ago is unknown, with what it holds", func(t *testing.T) {
		w := a.Judge(WarningPlace{State: "CA"}, warning.Geocodes{}, ts("2026-12-06T13:16:00Z"))
		if w.State != conditions.WarningsUnknown || w.Why != string(TooOld) || len(w.List) == 0 {
			t.Errorf("Judge = %q %q %v, want unknown, too old", w.State, w.Why, events(w))
		}
	})
	t.Run("a list that goes on elsewhere is unknown", func(t *testing.T) {
		b := a
		b.Incomplete = true
		w := b.Judge(WarningPlace{State: "CA"}, warning.Geocodes{}, ts("2026-12-05T13:30:00Z"))
		if w.State != conditions.WarningsUnknown || w.Why != string(Incomplete) || len(w.List) != 3 {
			t.Errorf("Judge = %q %q %v, want unknown, incomplete, three", w.State, w.Why, events(w))
		}
	})
}

func TestNoAlerts(t *testing.T) {
	w := mustAlerts(t, sample(t, "alerts_active_none.constructed.json")).Judge(WarningPlace{State: "CA"}, warning.Geocodes{}, ts("2026-12-05T14:00:00Z"))
	if w.State != conditions.WarningsNone || w.Why != "" || len(w.List) != 0 {
		t.Errorf("Judge = %+v, want none", w)
	}
}

func TestDecodeAlertsRefuses(t *testing.T) {
	good := sample(t, "alerts_active_central_california.constructed.json")
	swap := func(old, new string) []byte {
		if !bytes.Contains(good, []byte(old)) {
			t.Fatalf("the sample has no %q", old)
		}
		return bytes.Replace(good, []byte(old), []byte(new), 1)
	}
	for _, tc := range []struct {
		name string
		raw  []byte
		why  Why
	}{
		{"nothing", nil, Unreadable},
		{"markup", []byte("<html>maintenance</html>"), Unreadable},
		{"cut off", good[:len(good)-200], Unreadable},
		{"an error document", sample(t, "error_points_marine_404.constructed.json"), WrongShape},
		{"an empty object", []byte(`{}`), WrongShape},
		{"a list with no features", []byte(`{"type":"FeatureCollection","updated":"2026-12-05T13:15:00+00:00"}`), WrongShape},
		{"features that are null", []byte(`{"type":"FeatureCollection","features":null,"updated":"2026-12-05T13:15:00+00:00"}`), WrongShape},
		{"a list that does not say how old it is", swap(`"updated"`, `"modified"`), WrongShape},
		{"an alert with no event", swap(`"event": "Gale Warning"`, `"event": ""`), WrongShape},
		{"an alert with no status", swap(`"status": "Actual"`, `"state": "Actual"`), WrongShape},
		{"an alert of unheard-of type", swap(`"messageType": "Alert"`, `"messageType": "Renewal"`), WrongShape},
		{"an alert with a time that is none", swap(`"sent": "2026-12-05T03:30:00-08:00"`, `"sent": "yesterday"`), Unreadable},
	} {
		t.Run(tc.name, func(t *testing.T) {
			a, err := DecodeAlerts(tc.raw)
			if err == nil {
				t.Fatalf("DecodeAlerts = %+v, want an error", a)
			}
			wantStatus(t, err, "refused", tc.why)
		})
	}
	t.Run("a further page is noticed", func(t *testing.T) {
		a := mustAlerts(t, swap(`"title": "Current`, `"pagination":{"next":"https://api.weather.gov/alerts?cursor=x"},"title": "Current`))
		if !a.Incomplete {
			t.Error("Incomplete = false, want true")
		}
	})
	t.Run("a test and a cancel are not shown", func(t *testing.T) {
		raw := bytes.Replace(swap(`"status": "Actual"`, `"status": "Test"`), []byte(`"messageType": "Alert"`), []byte(`"messageType": "Cancel"`), 2)
		w := mustAlerts(t, raw).Judge(WarningPlace{State: "CA"}, warning.Geocodes{}, ts("2026-12-05T13:30:00Z"))
		if got := events(w); !slices.Equal(got, []string{"Special Marine Warning"}) {
			t.Errorf("Judge = %v, want the Special Marine Warning alone", got)
		}
	})
	t.Run("messages between machines are passed over", func(t *testing.T) {
		if got := len(mustAlerts(t, swap(`"messageType": "Alert"`, `"messageType": "Ack"`)).List); got != 2 {
			t.Errorf("%d alerts, want 2", got)
		}
	})
}

// Recorded from the weather service by others (MatthewFlamm/pynws, MIT; data public domain):
// an update that expires a day before the event ends.
func TestRealAlert(t *testing.T) {
	a := mustAlerts(t, recordedByOthers(t, "nws/alerts_active_zone_ORZ004_20191220.json"))
	if len(a.List) != 1 || len(a.List[0].Replaces) != 4 || len(a.List[0].Codes) != 11 {
		t.Fatalf("alerts = %+v, want one that replaces four, for 11 zones", a.List)
	}
	for _, tc := range []struct {
		now  string
		want warning.Standing
	}{
		{"2019-12-21T15:00:00Z", warning.InForce}, // the message expired at 13:30
		{"2019-12-22T18:00:00Z", warning.Over},
	} {
		if got := a.List[0].Standing(ts(tc.now)); got != tc.want {
			t.Errorf("Standing(%s) = %q, want %q", tc.now, got, tc.want)
		}
	}
	w := a.Judge(WarningPlace{Zones: []string{"ORZ004"}}, warning.Geocodes{}, ts("2019-12-20T22:00:00Z"))
	if w.State != conditions.WarningsInForce || w.List[0].Concern != conditions.Note || !*w.List[0].Covers {
		t.Errorf("Judge = %+v, want a note, here", w)
	}
}

func TestAreasOfAPlace(t *testing.T) {
	for _, tc := range []struct {
		p    WarningPlace
		want string
	}{
		{WarningPlace{State: "CA"}, "CA,PZ"},
		{WarningPlace{Zones: []string{"PZZ455"}}, "PZ"},
		{WarningPlace{Zones: []string{"CAZ109", "CAC045", "PZZ455"}}, "CA,PZ"},
		{WarningPlace{State: "FL"}, "AM,FL,GM"},
		{WarningPlace{State: "HI", Zones: []string{"PHZ116"}}, "HI,PH"},
		{WarningPlace{}, ""},
		{WarningPlace{State: "NSW"}, ""},
		{WarningPlace{State: "KS"}, ""},
		{WarningPlace{Zones: []string{"", "x", "XXZ001"}}, ""},
	} {
		if got := strings.Join(tc.p.areas(), ","); got != tc.want {
			t.Errorf("areas(%+v) = %q, want %q", tc.p, got, tc.want)
		}
	}
}

func TestEndOfTheEventFromItsParameters(t *testing.T) {
	raw := []byte(`{"type":"FeatureCollection","updated":"2026-12-05T13:15:00Z","features":[{"properties":{"id":"x","event":"Gale Warning",
"status":"Actual","messageType":"Alert","sent":"2026-12-05T12:00:00Z","expires":"2026-12-05T14:00:00Z","ends":null,
"parameters":{"NWSheadline":["GALE"],"eventEndingTime":["2026-12-06T04:00:00-08:00"]}}}]}`)
	a := mustAlerts(t, raw)
	if want := ts("2026-12-06T12:00:00Z"); !a.List[0].Ends.Equal(want) || a.List[0].Headline != "GALE" {
		t.Errorf("alert = %+v, want to end at %v, headline GALE", a.List[0], want)
	}
	if got := a.List[0].Standing(ts("2026-12-05T18:00:00Z").Add(time.Minute)); got != warning.InForce {
		t.Errorf("Standing = %q, want in force", got)
	}
}

// An alert without a shape is placed by the outlines of its zones, where somebody holds them; one with a shape by it. Zones and
// outlines are invented.
func TestAlertsArePlacedByOutlines(t *testing.T) {
	alert := func(id, zones, geometry string) string {
		return `{"geometry":` + geometry + `,"properties":{"id":"` + id + `","event":"Gale Warning","headline":"` + id + `","status":"Actual","messageType":"Alert",
"sent":"2026-12-05T12:00:00Z","ends":"2026-12-06T14:00:00Z","geocode":{"UGC":[` + zones + `]}}}`
	}
	square := func(lat, lon int) string {
		return fmt.Sprintf(`{"type":"Polygon","coordinates":[[[%d,%d],[%d,%d],[%d,%d],[%d,%d],[%d,%d]]]}`, lon, lat, lon+1, lat, lon+1, lat+1, lon, lat+1, lon, lat)
	}
	a := mustAlerts(t, []byte(`{"type":"FeatureCollection","updated":"2026-12-05T13:15:00Z","features":[`+strings.Join([]string{
		alert("here by zone", `"PZZ901"`, "null"), alert("elsewhere by zone", `"PZZ902"`, "null"), alert("one of two zones", `"PZZ902","PZZ901"`, "null"),
		alert("a zone nobody knows", `"PZZ903"`, "null"), alert("here by shape", `"PZZ903"`, square(38, -124)), alert("elsewhere by shape", `"PZZ903"`, square(30, -124)),
	}, ",")+`]}`))
	codes, err := warning.DecodeGeocodes([]byte(`{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"type":"UGC","code":"PZZ901"},"geometry":` + square(38, -124) + `},
{"type":"Feature","properties":{"type":"UGC","code":"PZZ902"},"geometry":` + square(30, -124) + `}]}`))
	if err != nil {
		t.Fatal(err)
	}
	place := WarningPlace{State: "CA", Places: []measure.Position{{Lat: 38.5, Lon: -123.5}}}
	told := func(w conditions.Warnings) string {
		var out []string
		for _, x := range w.List {
			how := "here"
			if x.Covers == nil {
				how = "perhaps"
			}
			out = append(out, x.Headline+": "+how)
		}
		slices.Sort(out)
		return strings.Join(out, "; ")
	}
	now := ts("2026-12-05T13:30:00Z")
	if got, want := told(a.Judge(place, codes, now)), "a zone nobody knows: perhaps; here by shape: here; here by zone: here; one of two zones: here"; got != want {
		t.Errorf("with outlines %q, want %q", got, want)
	}
	if got, want := told(a.Judge(place, warning.Geocodes{}, now)), "a zone nobody knows: perhaps; elsewhere by zone: perhaps; here by shape: here; here by zone: perhaps; one of two zones: perhaps"; got != want {
		t.Errorf("without outlines %q, want %q", got, want)
	}
	place.Zones = []string{"PZZ902"} // the crew knows its zone
	if got, want := told(a.Judge(place, warning.Geocodes{}, now)), "elsewhere by zone: here; here by shape: here; one of two zones: here"; got != want {
		t.Errorf("with a zone %q, want %q", got, want)
	}
}
