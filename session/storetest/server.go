package storetest

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
)

// requireRedis, set to 1, makes a missing redis-server a failure instead of a skip.
const requireRedis = "LEDGEHAND_REQUIRE_REDIS"

// A Server is a real redis-server of one test, with an append-only file in a directory of its own,
// gone when the test ends.
type Server struct {
	Addr string // the path of its unix socket, or host:port where it has to be reached by others

	dir  string
	args []string
	cmd  *exec.Cmd
	said chan struct{} // closed when its output ended
}

// Binary is where redis-server is. Without one the test is skipped, or fails if the environment asks for one.
func Binary(tb testing.TB) string {
	tb.Helper()
	path, err := exec.LookPath("redis-server")
	if err != nil {
		if os.Getenv(requireRedis) == "1" {
			tb.Fatalf("no redis-server on the path, and %s=1", requireRedis)
		}
		tb.Skip("no redis-server on the path")
	}
	return path
}

// StartServer starts a server on a unix socket, with further settings such as "--maxmemory", "8mb".
func StartServer(tb testing.TB, args ...string) *Server {
	tb.Helper()
	dir := tempDir(tb)
	socket := filepath.Join(dir, "s")
	return launch(tb, socket, dir, append([]string{"--port", "0", "--unixsocket", socket}, args...))
}

// launch starts a server of a test; args beyond what all have.
func launch(tb testing.TB, addr, dir string, args []string) *Server {
	tb.Helper()
	s := &Server{Addr: addr, dir: dir, args: append([]string{"--appendonly", "yes", "--save", ""}, args...)}
	tb.Cleanup(func() { s.Kill(tb) })
	s.Start(tb)
	return s
}

// tempDir is short: the path of a unix socket has a limit of about a hundred bytes.
func tempDir(tb testing.TB) string {
	tb.Helper()
	dir, err := os.MkdirTemp("", "lh")
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

// Start starts it again after Kill, with what its append-only file holds, and waits until it is ready.
func (s *Server) Start(tb testing.TB) {
	tb.Helper()
	s.cmd = exec.Command(Binary(tb), s.args...)
	s.cmd.Dir = s.dir
	dieWithUs(s.cmd)
	pipe, err := s.cmd.StdoutPipe()
	if err != nil {
		tb.Fatal(err)
	}
	s.cmd.Stderr = s.cmd.Stdout
	if err := s.cmd.Start(); err != nil {
		tb.Fatalf("start redis-server: %v", err)
	}
	ready, said := make(chan struct{}), make(chan struct{})
	var log []string // read by others only once said is closed
	go func() {
		defer close(said)
		up := false
		for lines := bufio.NewScanner(pipe); lines.Scan(); {
			log = append(log, lines.Text())
			// A Sentinel does not say that it is ready, only who it is, and answers from then on.
			if !up && (strings.Contains(lines.Text(), "eady to accept connections") || strings.Contains(lines.Text(), "Sentinel ID is")) {
				up = true
				close(ready)
			}
		}
	}()
	s.said = said
	select {
	case <-ready:
	case <-said:
		s.Kill(tb)
		tb.Fatalf("redis-server ended:\n%s", strings.Join(log, "\n"))
	case <-time.After(20 * time.Second):
		s.Kill(tb)
		tb.Fatalf("redis-server is not ready after 20 s:\n%s", strings.Join(log, "\n"))
	}
}

// Kill ends it at once, as a crash would.
func (s *Server) Kill(tb testing.TB) {
	tb.Helper()
	if s.cmd == nil {
		return
	}
	if err := s.cmd.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
		tb.Errorf("kill redis-server: %v", err)
	}
	<-s.said
	_ = s.cmd.Wait() // it always says that it was killed
	s.cmd = nil
}

// Do sends it one command from outside the store under test.
func (s *Server) Do(tb testing.TB, args ...any) any {
	tb.Helper()
	reply, err := s.Try(args...)
	if err != nil {
		tb.Fatalf("redis %v: %v", args, err)
	}
	return reply
}

// Flush brings all that the server wrote to the disk, so that what is measured next does not wait for what came before.
func (s *Server) Flush(tb testing.TB) {
	tb.Helper()
	names, err := filepath.Glob(filepath.Join(s.dir, "appendonlydir", "*"))
	if err != nil || len(names) == 0 {
		tb.Fatalf("append-only files in %s: %v, %v, want some", s.dir, names, err)
	}
	for _, name := range names {
		f, err := os.OpenFile(name, os.O_RDWR, 0)
		if err != nil {
			tb.Fatal(err)
		}
		if err := errors.Join(f.Sync(), f.Close()); err != nil {
			tb.Fatalf("flush %s: %v", name, err)
		}
	}
}

// Info is one number of what the server says of itself: bytes, seconds, counts.
func (s *Server) Info(tb testing.TB, section, field string) float64 {
	tb.Helper()
	for line := range strings.Lines(fmt.Sprint(s.Do(tb, "INFO", section))) {
		if v, ok := strings.CutPrefix(line, field+":"); ok {
			n, err := strconv.ParseFloat(strings.TrimSpace(v), 64)
			if err != nil {
				tb.Fatalf("redis INFO %s: %s: %v", section, field, err)
			}
			return n
		}
	}
	tb.Fatalf("redis INFO %s has no %s", section, field)
	return 0
}

// CPU is the processor time that this process and the server have used so far: what work costs, however many others the machine is
// shared with. It is zero where the system does not say.
func (s *Server) CPU(tb testing.TB) time.Duration {
	tb.Helper()
	own := ownCPU()
	if own == 0 {
		return 0
	}
	return own + time.Duration((s.Info(tb, "cpu", "used_cpu_user")+s.Info(tb, "cpu", "used_cpu_sys"))*float64(time.Second))
}

// Try is Do for a server that may be changing its role: a sentinel that promotes a server also cuts its connections.
func (s *Server) Try(args ...any) (any, error) {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	c := redis.NewClient(&redis.Options{Addr: s.Addr, MaxRetries: -1, DialerRetries: 1, Protocol: 2})
	defer c.Close()
	return c.Do(ctx, args...).Result()
}

// StartCluster starts a Cluster of n masters that share the slots evenly, without replicas.
func StartCluster(tb testing.TB, n int) []*Server {
	tb.Helper()
	Binary(tb)
	const slots = 16384
	nodes := make([]*Server, n)
	ports := freePorts(tb, 2*n)
	for i := range nodes {
		port, bus := ports[2*i], ports[2*i+1]
		nodes[i] = launch(tb, "127.0.0.1:"+port, tempDir(tb), []string{
			"--port", port, "--bind", "127.0.0.1", "--cluster-enabled", "yes", "--cluster-port", bus, "--cluster-node-timeout", "2000"})
		nodes[i].Do(tb, "CLUSTER", "ADDSLOTSRANGE", i*slots/n, (i+1)*slots/n-1)
		if i > 0 {
			nodes[i].Do(tb, "CLUSTER", "MEET", "127.0.0.1", ports[0], ports[1])
		}
	}
	for _, s := range nodes {
		Until(tb, "the cluster has come together", func() bool {
			info := fmt.Sprint(s.Do(tb, "CLUSTER", "INFO"))
			return strings.Contains(info, "cluster_state:ok") && strings.Contains(info, fmt.Sprintf("cluster_known_nodes:%d\r", n))
		})
	}
	return nodes
}

// A Guarded group is a master and a replica watched by one Sentinel, which is enough to order a failover.
type Guarded struct {
	Master, Replica, Sentinel *Server
}

// GuardedName is what the Sentinel of a Guarded group calls its master.
const GuardedName = "group"

// StartGuarded starts such a group and waits until the Sentinel knows the replica.
func StartGuarded(tb testing.TB) Guarded {
	tb.Helper()
	Binary(tb)
	ports := freePorts(tb, 3)
	node := func(port string, args ...string) *Server {
		return launch(tb, "127.0.0.1:"+port, tempDir(tb), append([]string{"--port", port, "--bind", "127.0.0.1"}, args...))
	}
	g := Guarded{Master: node(ports[0])}
	g.Replica = node(ports[1], "--replicaof", "127.0.0.1 "+ports[0], "--repl-diskless-sync-delay", "0")
	dir := tempDir(tb)
	config := filepath.Join(dir, "sentinel.conf") // a Sentinel writes its own configuration
	text := fmt.Sprintf("port %s\nbind 127.0.0.1\nsentinel monitor %s 127.0.0.1 %s 1\nsentinel down-after-milliseconds %[2]s 1000\n",
		ports[2], GuardedName, ports[0])
	if err := os.WriteFile(config, []byte(text), 0o600); err != nil {
		tb.Fatal(err)
	}
	g.Sentinel = &Server{Addr: "127.0.0.1:" + ports[2], dir: dir, args: []string{config, "--sentinel"}}
	tb.Cleanup(func() { g.Sentinel.Kill(tb) })
	g.Sentinel.Start(tb)
	Until(tb, "the replica follows", func() bool {
		return strings.Contains(fmt.Sprint(g.Replica.Do(tb, "INFO", "replication")), "master_link_status:up")
	})
	Until(tb, "the Sentinel knows the replica", func() bool {
		replicas, _ := g.Sentinel.Do(tb, "SENTINEL", "REPLICAS", GuardedName).([]any)
		return len(replicas) == 1 && strings.Contains(fmt.Sprint(replicas), "master-link-status ok")
	})
	return g
}

// Until asks other processes again and again until they agree; it gives up after 30 seconds.
func Until(tb testing.TB, what string, agreed func() bool) {
	tb.Helper()
	tick := time.NewTicker(20 * time.Millisecond)
	defer tick.Stop()
	timeout := time.After(30 * time.Second)
	for !agreed() {
		select {
		case <-tick.C:
		case <-timeout:
			tb.Fatalf("after 30 s still not so: %s", what)
		}
	}
}

// freePorts are ports that nobody used a moment ago, all different.
func freePorts(tb testing.TB, n int) []string {
	tb.Helper()
	var ports []string
	for range n {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			tb.Fatal(err)
		}
		defer l.Close() // all together at the end, or the same port would come again
		ports = append(ports, strconv.Itoa(l.Addr().(*net.TCPAddr).Port))
	}
	return ports
}
