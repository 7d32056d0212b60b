package text

import (
	"bytes"
	"io"
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
	err = loader.Load(&second)
	if err != nil && err != io.EOF {
		d.syntax(err)
		return
	}
	if err == nil {
		d.fail(ManyDocs, d.nodePlace(&second), "keep one document in a file, and delete the line of three dashes", "a second document begins here")
		d.excuse(root.Content[0], everyKey)
	}
	d.root = root.Content[0]
	d.inspect(d.root, 1)
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
