package main

import (
	"testing"
	"time"

	"ledgehand/bot"
)

// Every command of the help is answered, alone and by name, in the group and in private, by somebody who has done nothing yet.
func TestEveryCommandIsAnswered(t *testing.T) {
	st := outAt(t, stageParts{})
	st.server.Start(bram, "")
	must(t, st.settle(t.Context()))
	for _, name := range bot.Commands {
		for _, where := range []int64{crew, bram} {
			st.set(st.now().Add(30 * time.Second)) // chatter of a group has its pace
			before := len(st.server.Transcript())
			st.server.Write(where, bram, "/"+name)
			must(t, st.settle(t.Context()))
			answered := false
			for _, e := range st.server.Transcript()[before:] {
				answered = answered || e.Bot && e.Text != "" && (e.Chat == where || e.Chat == bram || e.Chat == crew)
			}
			if !answered {
				t.Errorf("/%s in chat %d: no answer", name, where)
			}
			if n := st.count("I know no /" + name); n != 0 {
				t.Errorf("/%s is in the help and not known", name)
			}
		}
	}
}
