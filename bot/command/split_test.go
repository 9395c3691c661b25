package command

import "testing"

func TestSplit(t *testing.T) {
	for _, tt := range []struct {
		in, cmd, args string
		ok            bool
	}{
		{"/out north ledge back 3pm", "out", "north ledge back 3pm", true},
		{"  /OUT  Anvil ", "out", "Anvil", true},
		{"/out@LedgehandBot Anvil", "out", "Anvil", true},
		{"/out@LedgehandBot", "out", "", true},
		{"/off", "off", "", true},
		{"/off\nnow", "off", "now", true},
		{"/catch 🐟 2 bream", "catch", "🐟 2 bream", true},
		{"/out Чёрный камень back 15:00", "out", "Чёрный камень back 15:00", true},
		{"/ledge_new x", "ledge_new", "x", true},
		{"/ out", "", "", false}, {"out", "", "", false}, {"", "", "", false}, {"/", "", "", false}, {"/5pm", "", "", false},
		{"/usr/bin", "", "", false}, {"//out", "", "", false}, {"/out-now", "", "", false},
	} {
		cmd, args, ok := Split(tt.in)
		if cmd != tt.cmd || args != tt.args || ok != tt.ok {
			t.Errorf("Split(%q) = %q, %q, %v, want %q, %q, %v", tt.in, cmd, args, ok, tt.cmd, tt.args, tt.ok)
		}
	}
}

func TestNearest(t *testing.T) {
	known := []string{"out", "off", "more", "catch", "watch", "trip", "ledge", "status"}
	for in, want := range map[string]string{
		"uot": "out", "catsh": "catch", "stauts": "status", "legde": "ledge", "tripp": "trip", "LEDG": "ledge", "stats": "status", "mroe": "more",
		"ot": "", "x": "", "zzzz": "", "patch": "", "oft": "", "weather": "",
	} {
		got, ok := Nearest(in, known)
		if got != want || ok != (want != "") {
			t.Errorf("Nearest(%q) = %q, %v, want %q", in, got, ok, want)
		}
	}
}
