package command

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"ledgehand/session/catch/names"
)

// Split takes a command line apart: "/out north ledge back 3pm" is "out" and "north ledge back 3pm".
// The command comes back in lower case and without the "@name" that group chats append (whose
// bot it is meant for is the chat adapter's matter); Args keeps its letters and inner spaces.
// ok is false for text that is no command: no slash, or no letter right after it.
func Split(text string) (command, args string, ok bool) {
	rest, found := strings.CutPrefix(strings.TrimLeftFunc(text, unicode.IsSpace), "/")
	if !found {
		return "", "", false
	}
	end := strings.IndexFunc(rest, func(r rune) bool { return r != '_' && !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if end < 0 {
		end = len(rest)
	}
	name, tail := rest[:end], rest[end:]
	if first, _ := utf8.DecodeRuneInString(name); !unicode.IsLetter(first) {
		return "", "", false
	}
	if strings.HasPrefix(tail, "@") {
		if end = strings.IndexFunc(tail, unicode.IsSpace); end < 0 {
			end = len(tail)
		}
		tail = tail[end:]
	}
	if first, _ := utf8.DecodeRuneInString(tail); tail != "" && !unicode.IsSpace(first) {
		return "", "", false // "/usr/bin", "/5.30": a path or a slip, not a command
	}
	return strings.ToLower(name), strings.TrimSpace(tail), true
}

// Nearest returns the known command that a typed one most likely meant: at most two slips away,
// fewer for short words (a word of two letters is two slips from every other), and nearer than all others.
func Nearest(cmd string, known []string) (string, bool) {
	cmd = strings.ToLower(cmd)
	most := 2
	if n := utf8.RuneCountInString(cmd); n <= 2 {
		most = 0
	} else if n <= 3 {
		most = 1
	}
	best, found, tied := most+1, "", false
	for _, k := range known {
		switch d := names.Slips(cmd, k); {
		case d < best:
			best, found, tied = d, k, false
		case d == best && d <= most && k != found:
			tied = true
		}
	}
	if tied {
		return "", false // a wrong guess is worse than a list
	}
	return found, found != ""
}
