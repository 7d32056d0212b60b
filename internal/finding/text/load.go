package text

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"cupel/internal/finding"

	yaml "go.yaml.in/yaml/v4"
)

// characters reports the first character that does not belong into a text, and
// whether there was none. The parser would refuse it without a place.
func (d *Doc) characters() bool {
	for i := 0; i < len(d.src); {
		r, size := utf8.DecodeRune(d.src[i:])
		if what := wrongCharacter(r, size, i); what != "" {
			d.fail(BadCharacter, d.place(i), "save the file as UTF-8 without control characters", "%s", what)
			return false
		}
		i += size
	}
	return true
}

func wrongCharacter(r rune, size, at int) string {
	switch {
	case r == utf8.RuneError && size == 1:
		return "not UTF-8 here"
	case r == '\t' || r == '\n' || r == '\r':
		return ""
	case r == '\ufeff' && at > 0:
		return "a byte order mark inside the text"
	case unicode.IsControl(r), r == '\u2028', r == '\u2029', r == '\ufffe', r == '\uffff':
		return sprintf("the control character %U", r)
	}
	return ""
}

// load parses the text and looks for what no file may hold.
func (d *Doc) load() {
	loader, err := yaml.NewLoader(bytes.NewReader(d.src), yaml.WithUniqueKeys(false))
	var root, second yaml.Node
	if err == nil {
		err = loader.Load(&root)
	}
	switch {
	case err == io.EOF:
		d.fail(NoContent, finding.Place{File: d.file, Line: 1}, "write the file's keys, or start from a demo", "the file is empty")
		return
	case err != nil:
		d.syntax(err)
		return
	}
	switch err := loader.Load(&second); {
	case err == nil:
		d.fail(ManyDocs, d.nodePlace(&second), "keep one document in a file, and delete the line of three dashes", "a second document begins here")
	case err != io.EOF:
		d.syntax(err)
		return
	}
	if len(root.Content) == 0 {
		return
	}
	d.root = root.Content[0]
	d.inspect(d.root, 1)
}

// syntax reports an error of the parser at the place it names.
func (d *Doc) syntax(err error) {
	var e *yaml.LoadError
	if !errors.As(err, &e) {
		d.fail(NotYAML, finding.Place{File: d.file}, "", "%s", err)
		return
	}
	place := finding.Place{File: d.file, Line: e.Mark.Line, Column: e.Mark.Column}
	text := e.Message
	if e.ContextMsg != "" {
		text += " " + e.ContextMsg
		if e.ContextMark.Line > 0 && e.ContextMark.Line != e.Mark.Line {
			text += sprintf(" that begins on line %d", e.ContextMark.Line)
		}
	}
	d.fail(NotYAML, place, syntaxAdvice(e.Message), "%s", text)
}

// syntaxAdvice says what usually causes a message of the parser.
func syntaxAdvice(message string) string {
	switch {
	case strings.Contains(message, "tab"):
		return "indent with spaces, not with tabs"
	case strings.Contains(message, "did not find expected ','"):
		return "close the bracket or brace, and separate entries with commas"
	case strings.Contains(message, "mapping values are not allowed"):
		return "put the value in quotes if it holds a colon, or start the key on its own line"
	case strings.Contains(message, "end of stream"):
		return "close the quote"
	case strings.Contains(message, "unknown anchor"), strings.Contains(message, "expected alphabetic"):
		return "put a value that begins with * or & in quotes"
	case strings.Contains(message, "cannot start any token"):
		return "put the value in quotes"
	}
	return "look at the indentation, brackets and quotes of this line and the one before"
}

// fail reports an error at a place.
func (d *Doc) fail(code string, at finding.Place, do, format string, args ...any) {
	d.Report(finding.Finding{
		Code: code, Level: finding.Error, Place: at,
		Text: sprintf(format, args...), Do: do,
	})
}

func (d *Doc) nodePlace(n *yaml.Node) finding.Place {
	if n == nil {
		return finding.Place{File: d.file}
	}
	return finding.Place{File: d.file, Line: n.Line, Column: n.Column}
}
