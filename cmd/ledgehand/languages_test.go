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

// A warning issued meanwhile reaches the group in the crew's language and whoever holds the plan in theirs.
func TestAWarningIsToldInTheHearersLanguage(t *testing.T) {
	sea := turningSea(t)
	st := outAt(t, stageParts{seer: sea})
	const gil = 77
	st.server.AddPerson(gil, "Gil")
	st.server.Speaks(gil, "es-AR")
	st.server.Start(ana, "")
	must(t, st.settle(t.Context()))
	st.server.Write(ana, ana, "/contact")
	must(t, st.settle(t.Context()))
	p, ok := st.said(ana, "?start=")
	if !ok {
		t.Fatal("Ana was given no link")
	}
	_, token, _ := strings.Cut(p.Text, "?start=")
	st.server.Start(gil, strings.Fields(token)[0])
	must(t, st.settle(t.Context()))
	must(t, st.tap(gil, gil, "Sí, tendré los planes de Ana"))
	must(t, st.settle(t.Context()))
	if _, ok := st.said(gil, "Tienes el plan de Ana"); !ok {
		t.Fatal("Gil has no plan in Spanish")
	}
	sea.turn(1, surfWarning)
	st.goTo(t, 9, 0)
	if _, ok := st.said(crew, "New warning while Ana is out", "High Surf Warning"); !ok {
		t.Error("the group did not hear of the warning in English")
	}
	if _, ok := st.said(gil, "Aviso nuevo donde está Ana: Anvil", "High Surf Warning", "Hora de dejar las rocas"); !ok {
		t.Error("Gil did not hear of the warning in Spanish")
	}
	if n := st.count("Aviso nuevo"); n != 1 {
		t.Errorf("told %d times in Spanish, want once", n)
	}
}
