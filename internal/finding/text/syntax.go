package text

import (
	"errors"
	"strings"

	"cupel/internal/finding"

	yaml "go.yaml.in/yaml/v4"
)

// complaint is a message of the parser in the words of a person who never
// read the grammar.
type complaint struct {
	context string // part of what the parser was doing
	message string // part of what it says
	text    string // %s is where the parser gave up
	do      string
	opening bool // the place is where the construct begins
}

// complaints are tried in order; the first that fits speaks.
var complaints = []complaint{
	{"quoted scalar", "end of stream", "this quote is never closed", "close it", true},
	{"quoted scalar", "document indicator", "this quote is not closed before %s", "close it", true},
	{"flow mapping", "',' or '}'", "this brace is not closed before %s, or a comma is missing", "close the brace, or write a comma between the entries", true},
	{"flow sequence", "',' or ']'", "this bracket is not closed before %s, or a comma is missing", "close the bracket, or write a comma between the entries", true},
	{"", "mapping values are not allowed", "a colon where no key can stand", "put the value in quotes if it holds a colon, or start the key on its own line", false},
	{"simple key", "could not find expected ':'", "a key without its colon", "write a colon and a space after the key", true},
	{"block mapping", "did not find expected key", "a line that does not fit the keys above it", "give it the indentation of the other keys, or put the value above it in quotes", false},
	{"block collection", "did not find expected '-'", "a line that does not fit the list above it", "begin it with a dash, or give it less indentation", false},
	{"", "tab character", "a tab as indentation", "indent with spaces", false},
	{"alias", "", "a value that begins with *", "put the value in quotes", false},
	{"anchor", "", "a value that begins with &", "put the value in quotes", false},
	{"", "unknown anchor", "a value that begins with *", "put the value in quotes", false},
	{"", "cannot start any token", "a character that cannot begin a value", "put the value in quotes", false},
}

// syntax reports an error of the parser at the place it names.
func (d *Doc) syntax(err error) {
	var e *yaml.LoadError
	if !errors.As(err, &e) {
		d.fail(NotYAML, finding.Place{File: d.file}, "look for what is not YAML", "%s", err)
		return
	}
	c := d.complaint(e)
	mark := e.Mark
	if c.opening && e.ContextMark.Line > 0 {
		mark = e.ContextMark
	}
	if strings.Contains(c.text, "%s") {
		where := sprintf("line %d", e.Mark.Line)
		if e.Mark.Line == mark.Line {
			where = sprintf("column %d", e.Mark.Column)
		}
		c.text = sprintf(c.text, where)
	}
	place := finding.Place{File: d.file, Line: mark.Line, Column: mark.Column}
	d.fail(NotYAML, place, c.do, "%s", c.text)
}

// complaint finds the words for an error, the parser's own when there are none.
func (d *Doc) complaint(e *yaml.LoadError) complaint {
	message := e.Message
	if at := d.offset(e.Mark.Line, e.Mark.Column); at < len(d.src) && d.src[at] == '\t' {
		message = "tab character"
	}
	for _, c := range complaints {
		if strings.Contains(e.ContextMsg, c.context) && strings.Contains(message, c.message) {
			return c
		}
	}
	if e.ContextMsg != "" {
		message += " " + e.ContextMsg
	}
	return complaint{text: message, do: "look at the indentation, brackets and quotes of this line and the one before"}
}
