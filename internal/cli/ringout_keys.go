package cli

import (
	"bytes"
	"fmt"
	"io"
	"strings"
)

// keys turns single keys into actions. Letters that are a whole answer act at
// once while nothing is typed; anything else begins a line, which Enter ends.
// The terminal is raw: what is typed is echoed here, and a line ends in \r\n.
type keys struct {
	*seat
	out    io.Writer
	line   []rune
	escape int // how far into an escape sequence of the terminal we are
}

// atOnce are the keys that act without Enter.
const atOnce = "cornuyix?q"

// The control characters of a terminal in raw mode.
const (
	ctrlC     = 3
	ctrlD     = 4
	backspace = 8
	ctrlU     = 21
	ctrlZ     = 26
	esc       = 27
	del       = 127
)

func (k *keys) greet() {
	k.say("c connected · o open · value Enter · u undo · n put off · ? keys · q end\n")
	k.prompt()
}

// say writes text as a raw terminal needs it, in one piece for slow links.
func (k *keys) say(text string) { io.WriteString(k.out, strings.ReplaceAll(text, "\n", "\r\n")) }

// prompt asks the question that stands.
func (k *keys) prompt() {
	var b bytes.Buffer
	k.show(&b)
	k.say(b.String() + "> ")
}

// press takes one key and reports whether there is more to come.
func (k *keys) press(r rune) bool {
	if k.escaped(r) {
		return true
	}
	switch {
	case r == ctrlC, r == ctrlD && len(k.line) == 0:
		k.say("\n")
		return false
	case r == ctrlZ:
		k.wipe()
		k.say("u\n")
		return k.do("u")
	case r == '\r' || r == '\n':
		line := string(k.line)
		k.line = k.line[:0]
		if strings.TrimSpace(line) == "" {
			return true // Enter alone does nothing
		}
		k.say("\n")
		return k.do(line)
	case r == backspace || r == del:
		if n := len(k.line); n > 0 {
			k.line = k.line[:n-1]
			k.say("\b \b")
		}
	case r == ctrlU:
		k.wipe()
	case r < ' ':
	case len(k.line) == 0 && strings.ContainsRune(atOnce, r):
		k.say(string(r) + "\n")
		return k.do(string(r))
	default:
		k.line = append(k.line, r)
		k.say(string(r))
	}
	return true
}

// escaped swallows the sequences that arrows and function keys send; Esc alone
// wipes what was typed.
func (k *keys) escaped(r rune) bool {
	switch {
	case r == esc:
		k.wipe()
		k.escape = 1
		return true
	case k.escape == 1 && r == '[':
		k.escape = 2
		return true
	case k.escape == 2:
		if r >= '@' && r <= '~' {
			k.escape = 0
		}
		return true
	}
	k.escape = 0
	return false
}

func (k *keys) wipe() {
	k.say(strings.Repeat("\b \b", len(k.line)))
	k.line = k.line[:0]
}

// do acts and asks on.
func (k *keys) do(line string) bool {
	var b bytes.Buffer
	more := k.act(line, &b)
	k.say(b.String())
	if !more {
		k.say(fmt.Sprintf("%d entries\n", len(k.added)))
		return false
	}
	if first := strings.Fields(line)[0]; first == "r" {
		k.say("> ")
		return true
	}
	k.prompt()
	return true
}
