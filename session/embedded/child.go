package embedded

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// A child is one run of redis-server.
type child struct {
	cmd   *exec.Cmd
	ended chan struct{}
	err   error    // how it ended; read once ended is closed
	said  []string // its last lines; read once ended is closed
}

// settings are all there are: no configuration file is read, and none can be slipped in.
func (s *Server) settings() []string {
	return []string{
		"--port", "0", "--unixsocket", s.Socket, "--unixsocketperm", "700",
		"--dir", s.dir, "--appendonly", "yes", "--appendfsync", "always", "--appenddirname", AppendDir,
		"--no-appendfsync-on-rewrite", "no",
		// A copy of the running file may end in the middle of a command; what was confirmed comes before that.
		"--aof-load-truncated", "yes",
		"--save", "", "--maxmemory", "0", "--maxmemory-policy", "noeviction",
		"--daemonize", "no", "--supervised", "no", "--pidfile", "", "--logfile", "", "--loglevel", "warning",
	}
}

// launch starts a redis-server. It holds a lock of its own by a file it inherits, so that one which outlived us is waited
// for: two on one append-only file would ruin it.
func (s *Server) launch() (*child, error) {
	alone, err := s.alone()
	if err != nil {
		return nil, err
	}
	defer alone.Close() // the child's copy stays open, and holds the lock
	c := &child{cmd: exec.Command(s.binary, s.settings()...), ended: make(chan struct{})}
	c.cmd.Dir = s.dir
	c.cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "TZ=UTC"} // not ours: the bot's token is in it
	c.cmd.ExtraFiles = []*os.File{alone}
	apart(c.cmd)
	out, in, err := os.Pipe()
	if err != nil {
		return nil, fmt.Errorf("pipe for its words: %w", err)
	}
	c.cmd.Stdout, c.cmd.Stderr = in, in
	started := make(chan error)
	go func() {
		// Linux ends a child with the thread that made it, not with the process: this one stays until the child ends.
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		err := c.cmd.Start()
		started <- err
		if err != nil {
			return
		}
		c.err = c.cmd.Wait()
		<-started // its last words
		close(c.ended)
	}()
	if err := <-started; err != nil {
		return nil, errors.Join(err, in.Close(), out.Close())
	}
	_ = in.Close()
	go func() {
		defer close(started)
		defer out.Close()
		s.listen(c, out)
	}()
	return c, nil
}

// listen passes on what it says.
func (s *Server) listen(c *child, out io.Reader) {
	const most = 3
	for lines := bufio.NewScanner(out); lines.Scan(); {
		line := strings.TrimSpace(lines.Text())
		if line == "" {
			continue
		}
		s.log.Info("redis-server", "says", line)
		c.said = append(c.said, line)
		if len(c.said) > most {
			c.said = c.said[1:]
		}
	}
}

// trouble is why it ended.
func (c *child) trouble() error {
	<-c.ended
	how := "it ended by itself"
	if c.err != nil {
		how = c.err.Error()
	}
	return fmt.Errorf("%s; it said: %s", how, strings.Join(c.said, " | "))
}

// alone takes the lock that a redis-server of this directory holds while it runs. One that outlived its supervisor (a
// kill -9 of ours, on a system that does not end children) is asked to end.
func (s *Server) alone() (*os.File, error) {
	path := filepath.Join(s.dir, "redis.lock")
	waited := time.After(orphanFor)
	tick := time.NewTicker(askEvery)
	defer tick.Stop()
	for asked := false; ; {
		f, err := lockFile(path)
		if err == nil {
			return f, nil
		}
		if !asked {
			s.log.Warn("a redis-server of an earlier run still works in the data directory; it is asked to end", "dir", s.dir)
			_, _ = ask(s.Socket, "SHUTDOWN")
			asked = true
		}
		select {
		case <-waited:
			return nil, fmt.Errorf("a redis-server of an earlier run does not end: %w", err)
		case <-s.stop:
			return nil, err
		case <-tick.C:
		}
	}
}

// ask sends one inline command (redis.io, protocol specification) and returns the first line of the answer; SHUTDOWN has none.
func ask(socket, command string) (string, error) {
	const patience = 2 * time.Second
	conn, err := net.DialTimeout("unix", socket, patience)
	if err != nil {
		return "", err
	}
	defer conn.Close()
	// A deadline needs the time of day, which is not asked for here; closing ends a read as well.
	stop := time.AfterFunc(patience, func() { _ = conn.Close() })
	defer stop.Stop()
	if _, err := fmt.Fprintf(conn, "%s\r\n", command); err != nil {
		return "", err
	}
	line, err := bufio.NewReader(conn).ReadString('\n')
	if errors.Is(err, io.EOF) && command == "SHUTDOWN" {
		return "", nil
	}
	return strings.TrimSpace(line), err
}
