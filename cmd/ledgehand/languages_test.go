package main

import (
	"bytes"
	"log/slog"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"ledgehand/bot"
	"ledgehand/bot/bottest"
	"ledgehand/bot/telegram"
)

// Telegram is given the commands in every language, English for all whose language has no list.
func TestCommandsAreListedInEveryLanguage(t *testing.T) {
	server := bottest.NewServer(time.Now)
	web := httptest.NewServer(server)
	defer web.Close()
	sender, err := telegram.NewSender(telegram.Options{Token: bottest.Token, Server: web.URL})
	if err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	log := slog.New(slog.NewTextHandler(&said, nil))
	setCommands(t.Context(), sender, log)
	for language, off := range map[string]string{"": "off the rocks", "es": "fuera de las rocas"} {
		list := server.Commands(language)
		if len(list) != len(bot.Commands) {
			t.Fatalf("commands in %q: %d, want %d", language, len(list), len(bot.Commands))
		}
		for i, c := range list {
			if c.Command != bot.Commands[i] || c.Description == "" || strings.ContainsAny(c.Description, "<>[]") {
				t.Errorf("command %d in %q is %+v, want %s with its help", i, language, c, bot.Commands[i])
			}
			if c.Command == "off" && !strings.HasPrefix(c.Description, off) {
				t.Errorf("/off in %q is %q, want %q", language, c.Description, off)
			}
		}
	}
	if said.Len() > 0 {
		t.Errorf("log says %q, want nothing", said.String())
	}
	// Without a list the bot works as well: a refusal is said and holds nothing up.
	web.Close()
	setCommands(t.Context(), sender, log)
	if n := strings.Count(said.String(), "command list not set"); n != 2 {
		t.Errorf("log of a service that is away: %q, want a line a language", said.String())
	}
}
