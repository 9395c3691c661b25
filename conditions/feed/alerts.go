package feed

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/warning"
)

// alertsOld is when a list of alerts says nothing any more. What "updated" counts is not
// documented: it may be the last change and not the moment of serving, so a quiet coast must
// not turn unknown within the hour. Our judgement.
const alertsOld = 24 * time.Hour

// Alerts is a decoded list of the US National Weather Service. Incomplete says that the
// service held some back for a further page.
type Alerts struct {
	List       []warning.Alert
	Updated    time.Time
	Incomplete bool
	shapes     map[string]warning.Area // of those that carry one, by id
}

type alertCollection struct {
	Type       string          `json:"type"`
	Features   *[]alertFeature `json:"features"`
	Updated    *time.Time      `json:"updated"`
	Pagination struct {
		Next string `json:"next"`
	} `json:"pagination"`
}

type alertFeature struct {
	Geometry   *alertShape `json:"geometry"`
	Properties struct {
		ID          string     `json:"id"`
		Event       string     `json:"event"`
		Headline    string     `json:"headline"`
		Description string     `json:"description"`
		Instruction string     `json:"instruction"`
		SenderName  string     `json:"senderName"`
		Sender      string     `json:"sender"`
		Status      string     `json:"status"`
		MessageType string     `json:"messageType"`
		Urgency     string     `json:"urgency"`
		Response    string     `json:"response"`
		Sent        *time.Time `json:"sent"`
		Onset       *time.Time `json:"onset"`
		Expires     *time.Time `json:"expires"`
		Ends        *time.Time `json:"ends"`
		Geocode     struct {
			UGC []string `json:"UGC"`
		} `json:"geocode"`
		References []struct {
			Identifier string `json:"identifier"`
		} `json:"references"`
		Parameters struct {
			Headline []string `json:"NWSheadline"`
			Ending   []string `json:"eventEndingTime"`
		} `json:"parameters"`
	} `json:"properties"`
}

// DecodeAlerts reads a list of active alerts. It refuses a list in which one alert lacks what
// it takes to judge it: leaving that one out would turn "cannot read" into "none".
func DecodeAlerts(raw []byte) (Alerts, error) {
	raw = bytes.TrimSpace(raw)
	if len(raw) > 0 && raw[0] == '<' {
		return Alerts{}, &BadBody{Why: Unreadable, Detail: "markup instead of JSON"}
	}
	var c alertCollection
	if err := json.Unmarshal(raw, &c); err != nil {
		return Alerts{}, &BadBody{Why: Unreadable, Err: plain(err)}
	}
	switch {
	case c.Type != "FeatureCollection" || c.Features == nil:
		return Alerts{}, &BadBody{Why: WrongShape, Detail: "not a list of alerts"}
	case c.Updated == nil:
		return Alerts{}, &BadBody{Why: WrongShape, Detail: "updated is missing"}
	}
	out := Alerts{Updated: c.Updated.UTC(), Incomplete: c.Pagination.Next != ""}
	for _, f := range *c.Features {
		p := f.Properties
		switch {
		case p.ID == "" || p.Event == "" || p.Sent == nil:
			return Alerts{}, &BadBody{Why: WrongShape, Detail: "an alert without id, event or sent"}
		case !slices.Contains([]string{"Actual", "Exercise", "System", "Test", "Draft"}, p.Status):
			return Alerts{}, &BadBody{Why: WrongShape, Detail: "an alert of status " + short(p.Status)}
		case !slices.Contains([]string{"Alert", "Update", "Cancel", "Ack", "Error"}, p.MessageType):
			return Alerts{}, &BadBody{Why: WrongShape, Detail: "an alert of type " + short(p.MessageType)}
		}
		if p.MessageType == "Ack" || p.MessageType == "Error" { // between machines
			continue
		}
		a := warning.Alert{
			ID: p.ID, Event: p.Event, Headline: p.Headline, Text: p.Description, Sender: p.SenderName,
			Status: p.Status, MessageType: p.MessageType, Urgency: p.Urgency, Response: p.Response,
			Sent: p.Sent.UTC(), Onset: instant(p.Onset), Expires: instant(p.Expires), Ends: instant(p.Ends),
			Codes: p.Geocode.UGC,
		}
		if a.Headline == "" && len(p.Parameters.Headline) > 0 {
			a.Headline = p.Parameters.Headline[0]
		}
		if a.Sender == "" {
			a.Sender = p.Sender
		}
		if p.Instruction != "" {
			a.Text = strings.TrimLeft(a.Text+"\n\n"+p.Instruction, "\n")
		}
		if a.Ends.IsZero() && len(p.Parameters.Ending) > 0 {
			if t, err := time.Parse(time.RFC3339, p.Parameters.Ending[0]); err == nil {
				a.Ends = t.UTC()
			}
		}
		for _, r := range p.References {
			a.Replaces = append(a.Replaces, r.Identifier)
		}
		if f.Geometry != nil {
			if out.shapes == nil {
				out.shapes = map[string]warning.Area{}
			}
			out.shapes[a.ID] = f.Geometry.area()
		}
		out.List = append(out.List, a)
	}
	return out, nil
}

func instant(t *time.Time) time.Time {
	if t == nil {
		return time.Time{}
	}
	return t.UTC()
}

// WarningPlace is where warnings are wanted for, in the public terms of a warning service.
type WarningPlace struct {
	// State is the two-letter US state or territory of the coast, e.g. "CA"; the sea before it
	// is asked for as well. Empty: taken from Zones.
	State string
	// Zones are the codes (UGC) of the land and sea zones and the county the ledge lies in,
	// e.g. "PZZ455". They stay here: only their first two letters are sent. Empty: no warning
	// can be placed, all of the state are shown.
	Zones []string
	// Country is the ISO 3166 code of the coast, for countries whose warnings come as an index of CAP messages.
	Country string
	// Places are the ledge and its sea anchor, and Languages what to prefer. They stay here: what is asked for is the whole
	// country's list.
	Places    []measure.Position
	Languages []string
}

// seas names the sea areas before each coast, NWS Directive 10-302 for the areas; which state
// borders which is geography. A state that is not here has no coast.
var seas = map[string][]string{
	"CA": {"PZ"}, "OR": {"PZ"}, "WA": {"PZ"}, "AK": {"PK"}, "HI": {"PH"},
	"GU": {"PM"}, "MP": {"PM"}, "FM": {"PM"}, "PW": {"PM"}, "MH": {"PM"}, "AS": {"PS"},
	"ME": {"AN"}, "NH": {"AN"}, "MA": {"AN"}, "RI": {"AN"}, "CT": {"AN"}, "NJ": {"AN"}, "DE": {"AN"},
	"MD": {"AN"}, "DC": {"AN"}, "VA": {"AN"}, "NC": {"AM", "AN"}, "SC": {"AM"}, "GA": {"AM"},
	"FL": {"AM", "GM"}, "AL": {"GM"}, "MS": {"GM"}, "LA": {"GM"}, "TX": {"GM"}, "PR": {"AM"}, "VI": {"AM"},
	"NY": {"AN", "LE", "LO", "SL"}, "PA": {"AN", "LE"}, "OH": {"LE"}, "IN": {"LM"}, "IL": {"LM"},
	"MI": {"LC", "LE", "LH", "LM", "LS"}, "WI": {"LM", "LS"}, "MN": {"LS"},
}

// areas lists what to ask for: states and the seas before them, sorted; nil if no feed of
// ours covers the place. Gales are issued for the sea, high surf for the land: one without the
// other would read as "none".
func (p WarningPlace) areas() []string {
	var out []string
	if s, ok := seas[p.State]; ok {
		out = append(append(out, p.State), s...)
	} else if p.State != "" {
		return nil
	}
	for _, z := range p.Zones {
		if len(z) < 3 {
			continue
		}
		a := z[:2]
		if s, ok := seas[a]; ok {
			out = append(append(out, a), s...)
			continue
		}
		for _, s := range seas {
			if slices.Contains(s, a) {
				out = append(out, a)
				break
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// alertSource is named beside every warning.
const alertSource = "US National Weather Service"

// Judge says what the alerts mean for a place at now; codes may know where their zones lie. Warnings surely elsewhere are left
// out. A list that is old or incomplete leaves the state unknown, with what it holds.
func (a Alerts) Judge(place WarningPlace, codes warning.Geocodes, now time.Time) conditions.Warnings {
	w := conditions.Warnings{State: conditions.WarningsNone, Source: alertSource, CheckedAt: now}
	for _, j := range a.judged(place, codes, now) {
		if !j.Standing.Shown() || j.Covers != nil && !*j.Covers {
			continue
		}
		w.State = conditions.WarningsInForce
		w.List = append(w.List, j.Warning())
	}
	switch {
	case now.Sub(a.Updated) > alertsOld:
		w.State, w.Why = conditions.WarningsUnknown, string(TooOld)
	case a.Incomplete:
		w.State, w.Why = conditions.WarningsUnknown, string(Incomplete)
	}
	return w
}

// judged places every alert by the shape it carries, by the outlines of its zones, and by the zones of the place. Most carry no
// shape; without an outline or a zone those cannot be placed.
func (a Alerts) judged(place WarningPlace, codes warning.Geocodes, now time.Time) []warning.Judged {
	if len(place.Places) == 0 {
		return warning.Judge(a.List, warning.InZones(place.Zones), now)
	}
	codes.Here = ugc(place.Zones)
	return warning.Judge(a.List, func(x warning.Alert) *bool {
		area := a.shapes[x.ID]
		area.Codes = ugc(x.Codes)
		return area.Covers(place.Places, codes)
	}, now)
}

func ugc(codes []string) []warning.Pair {
	var out []warning.Pair
	for _, c := range codes {
		out = append(out, warning.Pair{Name: "UGC", Value: c})
	}
	return out
}
