package embedded

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// Errors of Run that ask the operator for something; they say what to type.
var (
	ErrMissing = errors.New("no redis-server on this machine")
	ErrInUse   = errors.New("data directory is in use")
	ErrDir     = errors.New("data directory cannot be used")
)

const (
	socketName = "redis.sock"
	// AppendDir is where, in the data directory, everything lies; a copy of it is a backup.
	AppendDir = "appendonlydir"
	// longestSocket is what the address of a unix socket holds on the systems with the least room (104 bytes on the
	// BSDs and macOS, 108 on Linux, with the byte that ends it).
	longestSocket = 103

	firstPause = 100 * time.Millisecond // after it ended, before it is started again
	mostPause  = 10 * time.Second
	steadyFor  = time.Minute // up for that long, the next pause is the first again
	askEvery   = 20 * time.Millisecond
	shutdownIn = 30 * time.Second
	orphanFor  = 15 * time.Second
)

// A Server is a redis-server of ours that keeps what it holds in a directory.
type Server struct {
	Socket string // where it is reached

	dir, binary string
	log         *slog.Logger
	lock        *os.File
	stop        chan struct{} // closed by Close
	ended       chan struct{} // closed when nothing of it runs any more
	closing     sync.Once
}

// SocketPath is where the redis-server of a data directory is reached, running or not. The error says what to type
// when the path is longer than a socket's may be.
func SocketPath(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", fmt.Errorf("data directory: %w", err)
	}
	path := filepath.Join(dir, socketName)
	if len(path) > longestSocket {
		return "", fmt.Errorf("%w: %s makes a socket path of %d bytes, and a system takes %d. Type: export LEDGEHAND_DATA=/a/shorter/path", ErrDir, dir, len(path), longestSocket)
	}
	return path, nil
}

// Binary is the redis-server of this machine. ErrMissing says what to install.
func Binary() (string, error) {
	path, err := exec.LookPath("redis-server")
	if err != nil {
		return "", fmt.Errorf("%w. Install it (Debian, Ubuntu: apt install redis-server; Alpine: apk add redis; macOS: brew install redis), version 7.0 or newer, or name another one: export LEDGEHAND_REDIS=host:6379", ErrMissing)
	}
	return path, nil
}

// Run starts a redis-server that keeps everything in dir, which is made if there is none, and answers when all that was
// kept is loaded. It is restarted whenever it ends, until Close. Two never share a directory: ErrInUse.
// ctx ends only the starting.
func Run(ctx context.Context, dir string, log *slog.Logger) (*Server, error) {
	binary, err := Binary()
	if err != nil {
		return nil, err
	}
	socket, err := SocketPath(dir)
	if err != nil {
		return nil, err
	}
	dir = filepath.Dir(socket)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make the data directory: %w", err)
	}
	if err := CheckDir(dir); err != nil {
		return nil, err
	}
	lock, err := lockFile(filepath.Join(dir, "lock"))
	if err != nil {
		return nil, fmt.Errorf("%w: another serve works in %s (%w). End it first, or name another: export LEDGEHAND_DATA=/path", ErrInUse, dir, err)
	}
	s := &Server{Socket: socket, dir: dir, binary: binary, log: log, lock: lock, stop: make(chan struct{}), ended: make(chan struct{})}
	first := make(chan error, 1)
	go s.watch(first)
	select {
	case err = <-first:
	case <-ctx.Done():
		err = ctx.Err()
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("start redis-server in %s: %w", dir, err), s.Close())
	}
	return s, nil
}

// CheckDir refuses a data directory that others can read, or that is another user's: a redis-server started in it would
// leave files there that its owner cannot write.
func CheckDir(dir string) error {
	info, err := os.Stat(dir)
	switch {
	case err != nil:
		return fmt.Errorf("%w: %w", ErrDir, err)
	case !info.IsDir():
		return fmt.Errorf("%w: %s is no directory", ErrDir, dir)
	case !ours(info):
		return fmt.Errorf("%w: %s belongs to another user; run this as that user", ErrDir, dir)
	case info.Mode().Perm()&0o077 != 0:
		return fmt.Errorf("%w: others can get into %s (mode %04o). Type: chmod 700 %s", ErrDir, dir, info.Mode().Perm(), dir)
	}
	return nil
}

// Close ends redis-server in order, with everything on the disk, and gives the directory up. Close the store first.
func (s *Server) Close() error {
	s.closing.Do(func() { close(s.stop) })
	<-s.ended
	if err := s.lock.Close(); err != nil { // the lock goes with it
		return fmt.Errorf("give the data directory up: %w", err)
	}
	return nil
}

// watch keeps one redis-server running. The first result of starting is told to first.
func (s *Server) watch(first chan<- error) {
	defer close(s.ended)
	pause := firstPause
	for {
		c, err := s.launch()
		if err == nil {
			err = s.untilReady(c)
		}
		if first != nil {
			first <- err
			if err != nil {
				return // the first start is the operator's to mend
			}
			first = nil
		} else if err == nil {
			s.log.Warn("redis-server is back", "dir", s.dir)
		}
		if err == nil {
			steady := time.NewTimer(steadyFor)
			select {
			case <-c.ended:
			case <-s.stop:
			case <-steady.C:
				pause = firstPause
				select {
				case <-c.ended:
				case <-s.stop:
				}
			}
			steady.Stop()
			select {
			case <-s.stop:
				s.end(c)
				return
			default:
			}
			err = c.trouble()
		}
		select {
		case <-s.stop:
			return
		default:
		}
		s.log.Error("redis-server ended; nothing can be confirmed to anybody until it is back", "dir", s.dir, "err", err, "again_in", pause)
		select {
		case <-s.stop:
			return
		case <-time.After(pause):
		}
		pause = min(2*pause, mostPause)
	}
}

// untilReady waits until it answers with everything loaded. However long that takes: it is loading what people depend on.
func (s *Server) untilReady(c *child) error {
	tick := time.NewTicker(askEvery)
	defer tick.Stop()
	for {
		if answer, err := ask(s.Socket, "PING"); err == nil && strings.HasPrefix(answer, "+PONG") {
			return nil
		}
		select {
		case <-c.ended:
			return c.trouble()
		case <-s.stop:
			s.end(c)
			return context.Canceled
		case <-tick.C:
		}
	}
}

// end asks it to write everything and end; one that does not is made to.
func (s *Server) end(c *child) {
	if _, err := ask(s.Socket, "SHUTDOWN"); err != nil {
		// Also when it is still loading, or has ended.
		_ = c.cmd.Process.Signal(endSignal)
	}
	select {
	case <-c.ended:
	case <-time.After(shutdownIn):
		s.log.Error("redis-server does not end by itself; killed", "dir", s.dir)
		_ = c.cmd.Process.Kill()
		<-c.ended
	}
}
