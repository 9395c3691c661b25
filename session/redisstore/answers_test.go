package redisstore_test

import (
	"bytes"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"ledgehand/session/storetest"
)

func TestAnswersAreKeptForAWhile(t *testing.T) {
	for name, open := range map[string]func(t *testing.T) string{
		"in the process": func(t *testing.T) string { return miniredis.RunT(t).Addr() },
		"real":           func(t *testing.T) string { return storetest.StartServer(t).Addr },
	} {
		t.Run(name, func(t *testing.T) {
			a := storetest.OpenRedis(t, open(t), "answers").Answers()
			if body, at, err := a.Load(t.Context(), "sea 38.9,-123.8"); body != nil || !at.IsZero() || err != nil {
				t.Errorf("Load of nothing = %q, %s, %v", body, at, err)
			}
			want, at := []byte("{\"hourly\":[]}\x00"), time.Date(2026, 12, 5, 7, 0, 0, 123e6, time.UTC)
			if err := a.Save(t.Context(), "sea 38.9,-123.8", want, at, time.Minute); err != nil {
				t.Fatal(err)
			}
			got, when, err := a.Load(t.Context(), "sea 38.9,-123.8")
			if err != nil || !bytes.Equal(got, want) || !when.Equal(at) {
				t.Errorf("Load = %q of %s, %v, want %q of %s", got, when, err, want, at)
			}
			if other, _, err := a.Load(t.Context(), "sea 38.9,-123.9"); other != nil || err != nil {
				t.Errorf("another key = %q, %v", other, err)
			}
			if err := a.Save(t.Context(), "brief", want, at, time.Millisecond); err != nil {
				t.Fatal(err)
			}
			if name == "real" { // the other has a clock of its own
				storetest.Until(t, "it is forgotten", func() bool {
					body, _, err := a.Load(t.Context(), "brief")
					return body == nil && err == nil
				})
			}
		})
	}
}
