package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"
	"strings"
	"time"

	"ledgehand/bot/console"
	"ledgehand/bot/wording"
	"ledgehand/conditions/feed"
	"ledgehand/session/embedded"
	"ledgehand/session/redisstore"
)

// runChat is the same bot in the terminal, on a store inside the process and an invented sea.
func runChat(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) error {
	if len(args) > 0 {
		return fmt.Errorf("%w: it takes no arguments; type help inside", errUsage)
	}
	store, stop, err := memory(ctx)
	if err != nil {
		return err
	}
	defer stop()
	start := time.Now().UTC().Truncate(time.Minute)
	zone, err := time.LoadLocation("America/Los_Angeles") // the invented sea lies there
	if err != nil {
		return fmt.Errorf("load the zone of the invented sea: %w", err)
	}
	y, m, d := start.In(zone).Date()
	seer, err := feed.NewRecorded(time.Date(y, m, d, 0, 0, 0, 0, zone), false)
	if err != nil {
		return err
	}
	room := console.New(out, start, "ana", "bram", "chidi", "dell", "mo")
	h := build(parts{
		store: store, seer: seer, sender: room, decode: console.Decode, now: room.Now,
		link: func(token string) string { return "#private, then:  mo> /start " + token },
		log:  slog.New(slog.NewTextHandler(errOut, &slog.HandlerOptions{Level: slog.LevelError})),
	})
	h.desk.Unbounded = true // in a terminal a whole day is played in a minute
	if err := h.lead(ctx, start, 365*24*time.Hour); err != nil {
		return err
	}
	room.Take, room.Settle, room.Plain, room.Read = h.take, h.settle, wording.Plain, os.ReadFile
	fmt.Fprintln(out, "Ledgehand in this terminal. INVENTED SEA off Point Arena, California; nothing is kept and nobody is told.\nType help for how to talk, then try:  ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 foot 6 slope wall number 911")
	if err := room.AddBot(ctx, "ana"); err != nil {
		return err
	}
	lines := bufio.NewScanner(in)
	lines.Buffer(make([]byte, 0, 64*1024), 1<<20)
	for prompt(out); lines.Scan(); prompt(out) {
		done, err := room.Do(ctx, strings.ToValidUTF8(lines.Text(), "?"))
		if err != nil {
			return err
		}
		if done || ctx.Err() != nil {
			return nil
		}
	}
	fmt.Fprintln(out)
	return lines.Err()
}

func prompt(out io.Writer) { fmt.Fprint(out, "\n: ") }

// memory opens a store inside this process, sealed with a key that ends with it.
func memory(ctx context.Context) (*redisstore.Store, func(), error) {
	addr, stop, err := embedded.Start()
	if err != nil {
		return nil, nil, err
	}
	ring, err := redisstore.ParseKeyring(redisstore.NewKey())
	if err != nil {
		stop()
		return nil, nil, fmt.Errorf("make a sealing key: %w", err)
	}
	store, err := redisstore.Open(ctx, redisstore.Options{Addrs: []string{addr}, Sealer: ring})
	if err != nil {
		stop()
		return nil, nil, fmt.Errorf("open the store inside this process: %w", err)
	}
	return store, func() { _ = store.Close(); stop() }, nil
}

func runKey(_ context.Context, args []string, _ io.Reader, out, _ io.Writer) error {
	if len(args) > 0 {
		return fmt.Errorf("%w: it takes no arguments; send its output to a file", errUsage)
	}
	fmt.Fprintln(out, redisstore.NewKey())
	return nil
}
