//go:build unix

package embedded_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"go.uber.org/goleak"

	"ledgehand/session"
	"ledgehand/session/embedded"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

var noon = time.Date(2027, 3, 14, 12, 0, 0, 0, time.UTC)

// The test binary is also the process that is killed with its redis-server left behind.
const orphanEnv = "LEDGEHAND_TEST_RUN"

func TestMain(m *testing.M) {
	redisstore.LogTo(nil) // the outages below are wanted
	if dir := os.Getenv(orphanEnv); dir != "" {
		if _, err := embedded.Run(context.Background(), dir, slog.New(slog.DiscardHandler)); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		fmt.Println("ready")
		select {}
	}
	os.Exit(m.Run())
}

// said is a log that is read while it is written.
type said struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *said) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *said) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// shortDir is a data directory with a path that a socket can have.
func shortDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "lh")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return filepath.Join(dir, "data")
}

func run(t *testing.T, dir string) (*embedded.Server, *said) {
	t.Helper()
	storetest.Binary(t)
	log := &said{}
	s, err := embedded.Run(t.Context(), dir, slog.New(slog.NewTextHandler(log, nil)))
	if err != nil {
		t.Fatalf("Run() = %v\n%s", err, log)
	}
	t.Cleanup(func() { _ = s.Close() }) // a second one does nothing
	return s, log
}

func open(t *testing.T, s *embedded.Server, key string) *redisstore.Store {
	t.Helper()
	ring, err := redisstore.ParseKeyring(key)
	if err != nil {
		t.Fatal(err)
	}
	st, err := redisstore.Open(t.Context(), redisstore.Options{Addrs: []string{s.Socket}, Sealer: ring})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = st.Close() })
	return st
}

// do sends a command to the redis-server of a data directory.
func do(t *testing.T, socket string, args ...any) any {
	t.Helper()
	return (&storetest.Server{Addr: socket}).Do(t, args...)
}

func pid(t *testing.T, socket string) int {
	t.Helper()
	for line := range strings.Lines(fmt.Sprint(do(t, socket, "INFO", "server"))) {
		if n, ok := strings.CutPrefix(strings.TrimSpace(line), "process_id:"); ok {
			p, err := strconv.Atoi(n)
			if err != nil {
				t.Fatal(err)
			}
			return p
		}
	}
	t.Fatal("the server does not say its process id")
	return 0
}

func alive(pid int) bool { return syscall.Kill(pid, 0) == nil }

func take(t *testing.T, st *redisstore.Store, id string) {
	t.Helper()
	if _, err := st.Take(t.Context(), 7, session.Letter{ID: id, Got: noon, Body: []byte(id)}); err != nil {
		t.Fatal(err)
	}
}

func waiting(t *testing.T, st *redisstore.Store) int {
	t.Helper()
	letters, err := st.Waiting(t.Context(), 7, "", 1000)
	if err != nil {
		t.Fatal(err)
	}
	return len(letters)
}

func TestItIsAStoreThatLosesNobody(t *testing.T) {
	s, _ := run(t, shortDir(t))
	st := open(t, s, redisstore.NewKey())
	for _, f := range st.Check(t.Context(), time.Now()) {
		if !f.OK {
			t.Errorf("Check() = %+v, want everything in order", f)
		}
	}
	info, err := os.Stat(filepath.Dir(s.Socket))
	if err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("data directory: mode %v, %v, want 0700", info.Mode(), err)
	}
	for line := range strings.Lines(fmt.Sprint(do(t, s.Socket, "INFO", "server"))) {
		if name, v, _ := strings.Cut(strings.TrimSpace(line), ":"); name == "tcp_port" && v != "0" || name == "config_file" && v != "" {
			t.Errorf("redis-server runs with %s %s, want neither port nor file", name, v)
		}
	}
	environ, err := os.ReadFile(fmt.Sprintf("/proc/%d/environ", pid(t, s.Socket)))
	if err == nil && strings.Contains(string(environ), "HOME=") {
		t.Error("redis-server got our environment, and with it a token")
	}
}

func TestKilledItComesBackWithEverything(t *testing.T) {
	s, log := run(t, shortDir(t))
	st := open(t, s, redisstore.NewKey())
	for n := range 3 {
		take(t, st, fmt.Sprintf("u%d", n))
		old := pid(t, s.Socket)
		if err := syscall.Kill(old, syscall.SIGKILL); err != nil {
			t.Fatal(err)
		}
		storetest.Until(t, "it is back", func() bool { return strings.Count(log.String(), "redis-server is back") == n+1 })
		// The client tries again within a second of its last failure.
		storetest.Until(t, "the store works", func() bool { return st.Check(t.Context(), time.Now())[0].Name != "reach" })
		if got := waiting(t, st); got != n+1 {
			t.Fatalf("after kill %d: %d letters, want %d", n+1, got, n+1)
		}
	}
	// Each pause is longer than the one before, and every end is in the log as an error.
	text := log.String()
	for _, want := range []string{"level=ERROR", "nothing can be confirmed", "again_in=100ms", "again_in=200ms", "again_in=400ms"} {
		if !strings.Contains(text, want) {
			t.Errorf("log lacks %q:\n%s", want, text)
		}
	}
}

func TestTwoNeverShareADirectory(t *testing.T) {
	dir := shortDir(t)
	s, _ := run(t, dir)
	first := pid(t, s.Socket)
	second, err := embedded.Run(t.Context(), dir, slog.New(slog.DiscardHandler))
	if !errors.Is(err, embedded.ErrInUse) || !strings.Contains(err.Error(), "LEDGEHAND_DATA") {
		t.Errorf("second Run() = %v, %v, want it refused, with what to do", second, err)
	}
	if got := pid(t, s.Socket); got != first {
		t.Errorf("the first one's server is now %d, want %d undisturbed", got, first)
	}
}

func TestEndedItLeavesNothingBehindAndStartsAgain(t *testing.T) {
	dir, key := shortDir(t), redisstore.NewKey()
	ignore := goleak.IgnoreCurrent()
	for n := range 3 {
		s, log := run(t, dir)
		st := open(t, s, key)
		take(t, st, fmt.Sprintf("u%d", n))
		if got := waiting(t, st); got != n+1 {
			t.Errorf("start %d: %d letters, want %d", n+1, got, n+1)
		}
		p := pid(t, s.Socket)
		if err := st.Close(); err != nil {
			t.Error(err)
		}
		if err := s.Close(); err != nil {
			t.Errorf("Close() = %v", err)
		}
		if alive(p) {
			t.Errorf("redis-server %d still runs", p)
		}
		if strings.Contains(log.String(), "level=ERROR") {
			t.Errorf("a clean end reads like an accident:\n%s", log)
		}
	}
	goleak.VerifyNone(t, ignore)
}

// Killed without a chance to tidy up, and started again at once: the server left behind never shares the files.
func TestAServerLeftBehindIsWaitedFor(t *testing.T) {
	storetest.Binary(t)
	dir := shortDir(t)
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), orphanEnv+"="+dir)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { _ = cmd.Process.Kill(); _ = cmd.Wait() }()
	line := make([]byte, 6)
	if n, err := out.Read(line); err != nil || string(line[:n]) != "ready\n" {
		t.Fatalf("it says %q, %v", line[:n], err)
	}
	socket := filepath.Join(dir, "redis.sock")
	left := pid(t, socket)
	t.Cleanup(func() {
		if t.Failed() { // it may still be stopped
			_ = syscall.Kill(left, syscall.SIGKILL)
		}
	})
	// Stopped, it cannot follow the kernel's order to end before we look.
	if err := syscall.Kill(left, syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = cmd.Wait()
	log := &said{}
	type result struct {
		s   *embedded.Server
		err error
	}
	got := make(chan result, 1)
	go func() {
		s, err := embedded.Run(t.Context(), dir, slog.New(slog.NewTextHandler(log, nil)))
		got <- result{s, err}
	}()
	storetest.Until(t, "the one left behind is found", func() bool { return strings.Contains(log.String(), "earlier run") })
	if !alive(left) {
		t.Fatal("the one left behind is gone: the test shows nothing")
	}
	if err := syscall.Kill(left, syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
	r := <-got
	if r.err != nil {
		t.Fatalf("Run() after it ended = %v\n%s", r.err, log)
	}
	if now := pid(t, r.s.Socket); now == left {
		t.Error("it works on the server left behind, want one of its own")
	}
	if err := r.s.Close(); err != nil {
		t.Error(err)
	}
}

func TestWhatItRefusesSaysWhatToType(t *testing.T) {
	log := slog.New(slog.DiscardHandler)
	t.Run("PathTooLong", func(t *testing.T) {
		storetest.Binary(t)
		dir := filepath.Join(t.TempDir(), strings.Repeat("d", 100))
		if _, err := embedded.Run(t.Context(), dir, log); !errors.Is(err, embedded.ErrDir) || !strings.Contains(err.Error(), "export LEDGEHAND_DATA=") {
			t.Errorf("Run() = %v, want what to type", err)
		}
		if _, err := os.Stat(dir); err == nil {
			t.Error("the directory was made all the same")
		}
	})
	t.Run("OthersCanRead", func(t *testing.T) {
		storetest.Binary(t)
		dir := shortDir(t)
		if err := os.Mkdir(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		if _, err := embedded.Run(t.Context(), dir, log); !errors.Is(err, embedded.ErrDir) || !strings.Contains(err.Error(), "chmod 700 "+dir) {
			t.Errorf("Run() = %v, want what to type", err)
		}
	})
	t.Run("NotInstalled", func(t *testing.T) {
		t.Setenv("PATH", t.TempDir())
		if _, err := embedded.Run(t.Context(), shortDir(t), log); !errors.Is(err, embedded.ErrMissing) || !strings.Contains(err.Error(), "apt install redis-server") {
			t.Errorf("Run() = %v, want what to install", err)
		}
	})
	t.Run("ItDoesNotStart", func(t *testing.T) {
		s, _ := run(t, shortDir(t))
		dir := filepath.Dir(s.Socket)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		manifest := filepath.Join(dir, embedded.AppendDir, "appendonly.aof.manifest")
		if err := os.WriteFile(manifest, []byte("file nobody.aof seq 1 type q\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := embedded.Run(t.Context(), dir, log)
		if err == nil {
			t.Fatalf("Run() on a broken file = %v, want an error", s.Close())
		}
		if !strings.Contains(err.Error(), "manifest") && !strings.Contains(err.Error(), "AOF") {
			t.Errorf("Run() = %v, want redis-server's own words", err)
		}
	})
}
