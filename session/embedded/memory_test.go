package embedded_test

import (
	"errors"
	"testing"
	"time"

	"go.uber.org/goleak"

	"ledgehand/session"
	"ledgehand/session/embedded"
	"ledgehand/session/redisstore"
)

func TestAStoreWorksOnItAndItForgets(t *testing.T) {
	ignore := goleak.IgnoreCurrent()
	ring, err := redisstore.ParseKeyring(redisstore.NewKey())
	if err != nil {
		t.Fatal(err)
	}
	for round := range 2 {
		addr, stop, err := embedded.Start()
		if err != nil {
			t.Fatalf("Start() = %v, want no error", err)
		}
		st, err := redisstore.Open(t.Context(), redisstore.Options{Addrs: []string{addr}, Sealer: ring})
		if err != nil {
			t.Fatalf("Open() = %v, want no error", err)
		}
		letter := session.Letter{ID: "u1", Got: time.Date(2027, 3, 14, 12, 0, 0, 0, time.UTC)}
		if fresh, err := st.Take(t.Context(), 0, letter); err != nil || !fresh {
			t.Errorf("round %d: Take() = %v, %v, want fresh", round, fresh, err)
		}
		stop()
		if _, err := st.Take(t.Context(), 0, letter); !errors.Is(err, session.ErrUnavailable) {
			t.Errorf("round %d: Take() after stop = %v, want ErrUnavailable", round, err)
		}
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	}
	goleak.VerifyNone(t, ignore)
}
