package feed

import (
	"context"
	"net/url"
	"slices"
	"sync"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/warning"
)

// CAPIndexes are the public indexes of official warnings that are known without being set, by ISO 3166 country code. Addresses
// taken from open lists of such indexes; where one does not answer as an index of CAP messages the state is unknown.
var CAPIndexes = func() map[string]string {
	out := map[string]string{"NZ": "https://alerts.metservice.com/cap/rss"}
	for country, name := range map[string]string{
		"BE": "belgium", "HR": "croatia", "CY": "cyprus", "DK": "denmark", "EE": "estonia", "FI": "finland", "FR": "france", "DE": "germany",
		"GR": "greece", "IS": "iceland", "IE": "ireland", "IT": "italy", "LV": "latvia", "LT": "lithuania", "MT": "malta", "NL": "netherlands",
		"NO": "norway", "PL": "poland", "PT": "portugal", "SI": "slovenia", "ES": "spain", "SE": "sweden", "GB": "united-kingdom",
	} {
		out[country] = "https://feeds.meteoalarm.org/feeds/meteoalarm-legacy-atom-" + name
	}
	return out
}()

// messageAges: a message never changes once it is out.
var messageAges = ages{24 * time.Hour, 48 * time.Hour, 48 * time.Hour}

// messagesMost bounds how many messages of an index are fetched for one answer; what is left is judged by its entry, and the
// state is then unknown where it may be here. messagesAtOnce keeps the host's patience.
const (
	messagesMost   = 60
	messagesAtOnce = 4
	messageMost    = 4 << 20
)

// capWarnings is what an index of CAP messages says for a place. The whole country's list is asked for, and every message on
// it that could be for the place; which one is, is judged here.
func (c *Client) capWarnings(ctx context.Context, index *url.URL, place WarningPlace, now time.Time) conditions.Warnings {
	x, at, err := answer(ctx, c, c.indexes, "index "+index.String(), now, func(ctx context.Context) ([]byte, error) {
		return c.fetch(ctx, index, "", nil, alertsMost, now)
	}, func(raw []byte, _ time.Time) (warning.Index, error) {
		x, err := warning.DecodeIndex(raw)
		if err != nil {
			err = refusedCAP(err)
		}
		return x, err
	})
	if err != nil {
		_, why := Status(err)
		return conditions.Warnings{State: conditions.WarningsUnknown, Why: string(why), Source: index.Host, CheckedAt: now}
	}
	if len(x.Entries) == 0 {
		return conditions.Warnings{State: conditions.WarningsUnknown, Why: string(EmptyList), Source: index.Host, CheckedAt: at}
	}
	wanted := x.Wanted()
	messages := make([]*warning.Message, min(len(wanted), messagesMost))
	var all sync.WaitGroup
	slots := make(chan struct{}, messagesAtOnce)
	for i := range messages {
		all.Go(func() {
			slots <- struct{}{}
			defer func() { <-slots }()
			messages[i] = c.capMessage(ctx, index, wanted[i].Link, now)
		})
	}
	all.Wait()
	var got []warning.Message
	for _, m := range messages {
		if m != nil {
			got = append(got, *m)
		}
	}
	langs := place.Languages
	if !slices.Contains(langs, "en") {
		langs = append(slices.Clone(langs), "en")
	}
	w := x.Judge(got, place.Places, now, langs, c.areas)
	if w.CheckedAt = at; w.Source == "" {
		w.Source = index.Host
	}
	return w
}

// capMessage fetches one message; nil if it cannot be had, or lies on another host than its index.
func (c *Client) capMessage(ctx context.Context, index *url.URL, link string, now time.Time) *warning.Message {
	u, err := index.Parse(link)
	if err != nil || origin(u) != origin(index) || u.User != nil {
		return nil
	}
	m, _, err := answer(ctx, c, c.caped, "message "+u.String(), now, func(ctx context.Context) ([]byte, error) {
		base := *u
		base.RawQuery, base.Fragment = "", ""
		return c.fetch(ctx, &base, "", u.Query(), messageMost, now)
	}, func(raw []byte, _ time.Time) (warning.Message, error) {
		m, err := warning.DecodeCAP(raw)
		m.Link = link
		return m, err
	})
	if err != nil {
		return nil
	}
	return &m
}
