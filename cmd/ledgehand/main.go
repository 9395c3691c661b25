// Ledgehand is a chat bot for people who fish wave-exposed rock ledges: conditions, trip plans,
// who is out and who ashore is told if they are not back, catches. This command runs it.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // zones of the ledges, wherever this runs
)

// Exit codes: 0 done, 1 failed, 2 called wrongly.
const (
	exitFailed = 1
	exitUsage  = 2
)

type subcommand struct {
	name string
	does string
	run  func(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) error
}

func subcommands() []subcommand {
	return []subcommand{
		{"demo", "play an invented day through the whole bot: no token, no network, no Redis", runDemo},
		{"chat", "talk to the bot in this terminal as several people; it forgets when it ends", runChat},
		{"serve", "serve Telegram, with a real Redis", runServe},
		{"calc", "compute: one JSON object a line in, one a line out (calc -h lists the operations)", runCalc},
		{"key", "print a new sealing key for serve", runKey},
	}
}

// errUsage asks for exit code 2.
var errUsage = errors.New("called wrongly")

func main() {
	ctx, stop := signalled()
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// signalled ends when somebody asks the program to end.
func signalled() (context.Context, context.CancelFunc) {
	return signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
}

func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) int {
	if len(args) > 0 && (args[0] == "-h" || args[0] == "--help" || args[0] == "help") {
		usage(out)
		return 0
	}
	if len(args) > 0 {
		for _, c := range subcommands() {
			if c.name != args[0] {
				continue
			}
			switch err := c.run(ctx, args[1:], in, out, errOut); {
			case err == nil:
				return 0
			case errors.Is(err, errUsage):
				fmt.Fprintf(errOut, "ledgehand %s: %v\n", c.name, err)
				return exitUsage
			default:
				fmt.Fprintf(errOut, "ledgehand %s: %v\n", c.name, err)
				return exitFailed
			}
		}
		fmt.Fprintf(errOut, "ledgehand: there is no %q\n", args[0])
	}
	usage(errOut)
	return exitUsage
}

func usage(w io.Writer) {
	fmt.Fprint(w, "ledgehand does one of:\n")
	for _, c := range subcommands() {
		fmt.Fprintf(w, "  %-6s %s\n", c.name, c.does)
	}
	fmt.Fprint(w, "No forecast makes a ledge safe. Follow local rescue services and rules.\n")
}
