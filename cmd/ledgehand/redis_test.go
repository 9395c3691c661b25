package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"ledgehand/session/embedded"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

// shortDir is a data directory with a path that a socket can have.
func shortDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "lh")
	must(t, err)
	t.Cleanup(func() { os.RemoveAll(dir) })
	return filepath.Join(dir, "data")
}

// ownRedis makes the next start run a Redis of its own in a directory.
func (s *served) ownRedis(dir string) (socket string) {
	s.t.Helper()
	s.set.redis, s.set.data = "", dir
	socket, err := embedded.SocketPath(dir)
	must(s.t, err)
	return socket
}

// said counts the bot's messages in a chat with such words.
func (s *served) said(chat int64, words string) (n int) {
	for _, e := range s.server.Transcript() {
		if e.Bot && e.Chat == chat && strings.Contains(e.Text, words) {
			n++
		}
	}
	return n
}

func redisPID(t *testing.T, socket string) int {
	t.Helper()
	info := fmt.Sprint((&storetest.Server{Addr: socket}).Do(t, "INFO", "server"))
	_, rest, _ := strings.Cut(info, "process_id:")
	pid, err := strconv.Atoi(strings.TrimSpace(strings.SplitN(rest, "\n", 2)[0]))
	must(t, err)
	return pid
}

func process(t *testing.T, pid int) *os.Process {
	t.Helper()
	p, err := os.FindProcess(pid)
	must(t, err)
	return p
}

func TestServeOnARedisOfItsOwnThatIsKilledWithAnOutingOpen(t *testing.T) {
	s := newServed(t)
	dir := shortDir(t)
	socket := s.ownRedis(dir)
	s.start()
	s.hears(-9, "I'm Ledgehand")
	s.server.Start(1, "")
	s.hears(1, "I'm Ledgehand")
	s.goesOut(1, 2)

	must(t, process(t, redisPID(t, socket)).Kill())
	// Written while there is nothing to store it in: Telegram keeps it until it is stored.
	s.server.Write(1, 1, "/catch kelp greenling 31 kept")
	s.hears(1, "Noted")
	s.server.Write(1, 1, "/off")
	s.hears(-9, "Ana: off Anvil")
	last := redisPID(t, socket)
	s.end()
	if n := s.said(-9, "Ana: off Anvil"); n != 1 {
		t.Errorf("confirmed %d times in the group, want once", n)
	}
	if !strings.Contains(s.log.String(), "redis-server ended") || !strings.Contains(s.log.String(), "redis-server is back") {
		t.Error("the log does not say that Redis was away")
	}
	if process(t, last).Signal(syscall.Signal(0)) == nil {
		t.Error("redis-server still runs after serve ended")
	}
	if out := s.out.String(); !strings.Contains(out, "own Redis in "+dir) || !strings.Contains(out, filepath.Join(dir, "appendonlydir")+" are the backup") {
		t.Errorf("it says %q, want where everything is and what to copy", out)
	}

	// And everything is there at the next start.
	s.start()
	s.server.Write(1, 1, "/catch")
	s.hears(1, "kept 1, let go 0")
	s.end()
}

func TestTwoServesNeverShareARedisOfTheirOwn(t *testing.T) {
	s := newServed(t)
	s.ownRedis(shortDir(t))
	s.start()
	s.hears(-9, "I'm Ledgehand")
	second := *s
	second.start()
	if err := <-second.done; !errors.Is(err, embedded.ErrInUse) {
		t.Errorf("second serve() = %v, want it refused", err)
	}
	second.stop()
	s.end()
}

func TestWhereTheStoreIs(t *testing.T) {
	for name, c := range map[string]struct {
		env  map[string]string
		want string // the data directory, or a part of the error
	}{
		"the usual place":       {map[string]string{"HOME": "/home/x"}, "/home/x/.local/state/ledgehand"},
		"the state directory":   {map[string]string{"HOME": "/home/x", "XDG_STATE_HOME": "/s"}, "/s/ledgehand"},
		"relative counts not":   {map[string]string{"HOME": "/home/x", "XDG_STATE_HOME": "s"}, "/home/x/.local/state/ledgehand"},
		"named":                 {map[string]string{"HOME": "/home/x", "LEDGEHAND_DATA": "/d/e"}, "/d/e"},
		"nowhere":               {nil, "export LEDGEHAND_DATA="},
		"Sentinels without any": {map[string]string{"LEDGEHAND_REDIS_MASTER": "m"}, "export LEDGEHAND_REDIS="},
		"a password for none":   {map[string]string{"LEDGEHAND_REDIS_PASSWORD": "m"}, "export LEDGEHAND_REDIS="},
		"neither on nor off":    {map[string]string{"LEDGEHAND_REDIS": "x", "LEDGEHAND_REDIS_TLS": "perhaps"}, "LEDGEHAND_REDIS_TLS"},
	} {
		t.Run(name, func(t *testing.T) {
			get := func(k string) string { return c.env[k] }
			var s settings
			err := s.readRedis(get)
			dir := ""
			if err == nil {
				dir, err = s.dataDir(get)
			}
			if err != nil {
				dir = err.Error()
			}
			if !strings.Contains(dir, c.want) || err == nil && dir != c.want {
				t.Errorf("got %q, want %q", dir, c.want)
			}
		})
	}
}

func TestServeReachesSentinelsAndClusters(t *testing.T) {
	ring, err := redisstore.ParseKeyring(redisstore.NewKey())
	must(t, err)
	reach := func(t *testing.T, env map[string]string) {
		t.Helper()
		var s settings
		must(t, s.readRedis(func(k string) string { return env[k] }))
		store, done, err := openStore(t.Context(), s, ring, nil, nil)
		must(t, err)
		defer done()
		for _, f := range store.Check(t.Context(), time.Now()) {
			if f.Name == "role" && !f.OK || f.Name == "reach" {
				t.Errorf("%+v, want a master", f)
			}
		}
		storetest.LeadAll(t, store, time.Now(), 1) // writes to every shard
	}
	t.Run("Sentinel", func(t *testing.T) {
		g := storetest.StartGuarded(t)
		reach(t, map[string]string{"LEDGEHAND_REDIS": g.Sentinel.Addr, "LEDGEHAND_REDIS_MASTER": storetest.GuardedName})
	})
	t.Run("Cluster", func(t *testing.T) {
		nodes := storetest.StartCluster(t, 3)
		reach(t, map[string]string{"LEDGEHAND_REDIS": nodes[0].Addr + "," + nodes[1].Addr})
	})
	t.Run("TLS", func(t *testing.T) {
		// A server that only looks at the first byte: 22 begins a TLS handshake (RFC 8446, 5.1).
		l, err := net.Listen("tcp", "127.0.0.1:0")
		must(t, err)
		first := make(chan byte, 16)
		go func() {
			for {
				c, err := l.Accept()
				if err != nil {
					return
				}
				b := make([]byte, 1)
				_, _ = c.Read(b)
				_ = c.Close()
				first <- b[0]
			}
		}()
		defer l.Close()
		s := settings{redis: l.Addr().String(), redisMore: redisMore{redisTLS: true}}
		ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
		defer cancel()
		if _, _, err := openStore(ctx, s, ring, nil, nil); err == nil {
			t.Error("openStore() on a server without TLS = nil, want an error")
		}
		if b := <-first; b != 22 {
			t.Errorf("the first byte is %d, want 22", b)
		}
	})
}
