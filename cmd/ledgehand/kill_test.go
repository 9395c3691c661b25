package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/session/storetest"
)

// The test binary is also the program it kills.
const childEnv = "LEDGEHAND_TEST_SERVE"

func TestMain(m *testing.M) {
	if clock := os.Getenv(speedEnv); clock != "" {
		os.Exit(serveFast(clock))
	}
	if os.Getenv(childEnv) != "" {
		os.Exit(run(context.Background(), []string{"serve"}, os.Stdin, os.Stdout, os.Stderr))
	}
	os.Exit(m.Run())
}

// child starts serve as a process of its own, on the same store and the same fake Telegram.
func (s *served) child() *exec.Cmd {
	s.t.Helper()
	exe, err := os.Executable()
	if err != nil {
		s.t.Fatal(err)
	}
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), childEnv+"=1", "LEDGEHAND_TOKEN="+s.set.token, "LEDGEHAND_REDIS="+s.set.redis, "LEDGEHAND_KEY_FILE="+s.set.keyFile,
		"LEDGEHAND_USER_AGENT="+s.set.agent, "LEDGEHAND_TELEGRAM_URL="+s.set.telegram, "LEDGEHAND_MARINE_URL="+s.set.marine, "LEDGEHAND_BUOYS_URL=off", "LEDGEHAND_MET_URL=off",
		"LEDGEHAND_FORECAST_URL="+s.set.forecast, "LEDGEHAND_ALERTS_URL="+s.set.alerts, "LEDGEHAND_LEASE=1s")
	if err := cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	return cmd
}

// kill -9 at random points, on a real Redis: every line that was written has its effect exactly once, an outing that
// was open is open still, and its "off" closes it.
func TestKilledAtRandomEveryLineHasItsEffectOnce(t *testing.T) {
	s := newServed(t)
	rng := randoms(t)

	proc := s.child()
	t.Cleanup(func() { _ = proc.Process.Kill(); _ = proc.Wait() })
	s.hears(-9, "I'm Ledgehand")
	s.server.Start(1, "")
	s.hears(1, "I'm Ledgehand")
	s.goesOut(1, 3)

	const kills, each = 4, 4 // answers to one chat go out one a second
	lines := 0
	for range kills {
		for range each {
			lines++
			s.server.Write(1, 1, fmt.Sprintf("/catch kelp greenling %d.%d kept", 30+lines/10, lines%10),
				bottest.Ago(time.Duration(kills*each-lines)*4*time.Second)) // nobody types them all at once
		}
		// Anywhere from before the first of them is fetched to after the last was answered.
		select {
		case <-time.After(time.Duration(rng.IntN(400)) * time.Millisecond):
		case <-t.Context().Done():
		}
		if err := proc.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = proc.Wait()
		proc = s.child()
	}
	s.server.Write(1, 1, "/catch")
	want := fmt.Sprintf("kept %d, let go 0", lines)
	storetest.Until(t, "all lines count once: "+want, func() bool {
		text := sums(s.server)
		if text != "" && !strings.Contains(text, want) {
			t.Fatalf("the day reads %q, want %q", text, want)
		}
		return text != ""
	})
	s.server.Write(1, 1, "/off")
	s.hears(-9, "Ana: off Anvil")
	s.hears(1, "off Anvil")
}

// sums is the bot's newest answer to /catch alone.
func sums(s *bottest.Server) string {
	for _, p := range s.Messages(1) {
		if strings.Contains(p.Text, "let go 0") && !strings.Contains(p.Text, "Noted") {
			return p.Text
		}
	}
	return ""
}
