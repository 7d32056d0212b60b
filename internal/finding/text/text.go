// Package text reads the files a person types. It parses YAML and hands out
// its maps, lists and values together with their places, so that a decoder can
// report every mistake of a file in one pass.
//
// # Reading
//
// A decoder asks for what it expects and gets zero values where the file holds
// something else; the mistake is then already in the list of findings:
//
//	var list finding.List
//	root := text.Parse("board.yaml", src, &list).Root()
//	root.Fields("board", "cells", "parts")
//	name := root.Need("board").Text()
//	cells := root.Need("cells").IntIn(1, 32)
//	root.Get("parts").Map().Each(func(key, part text.Value) {
//		part.Map().Fields("value", "pins")
//		…
//	})
//	if list.Has(finding.Error) { … }
//
// A value that is absent, or whose mistake was already reported, gives zero
// values without another finding, so no mistake is told twice. Call
// [Map.Fields] before [Map.Need]: a key that is missing because it is misspelt
// is then told once.
//
// # What it refuses
//
// Anchors and aliases (a few lines of them describe a text of any size), tags,
// several documents in a file, keys that are not plain words, deep nesting and
// files above a size. None is needed to describe a board.
//
// # Editing
//
// [Set], [Insert] and [Delete] change one entry of a text and leave every other
// byte as it was: comments, blank lines, quotes and line ends.
package text

import (
	"strings"

	"cupel/internal/finding"

	yaml "go.yaml.in/yaml/v4"
)

// MaxSize is the size in bytes of the largest text that Parse reads. A board
// of some hundred parts takes about 20 kB.
const MaxSize = 4 << 20

// maxDepth is how deep maps and lists may nest. A part sheet needs five.
const maxDepth = 40

// Doc is a parsed text.
type Doc struct {
	file  string
	src   []byte
	lines []int // byte offset of each line's first character
	list  *finding.List
	root  *yaml.Node          // nil when the text could not be parsed
	bad   map[*yaml.Node]bool // nodes whose mistake was already reported
	// excused are the keys that a map may lack without another finding,
	// because one was reported that explains it. "" excuses every key.
	excused map[*yaml.Node]map[string]bool
}

// Parse reads src, the content of file. Mistakes, now and while the document
// is read, go to list. The result is never nil; when src is not YAML its root
// is an empty map that reports nothing.
func Parse(file string, src []byte, list *finding.List) *Doc {
	return ParseLimit(file, src, MaxSize, list)
}

// ParseLimit is Parse with another limit of size, in bytes.
func ParseLimit(file string, src []byte, limit int, list *finding.List) *Doc {
	d := &Doc{file: file, src: src, list: list, bad: map[*yaml.Node]bool{}, excused: map[*yaml.Node]map[string]bool{}}
	if len(src) > limit {
		d.Report(finding.Finding{
			Code: TooLarge, Level: finding.Error, Place: finding.Place{File: file},
			Text: sprintf("the file has %d bytes, more than the %d that are read", len(src), limit),
			Do:   "split it, or keep data that is not typed by hand elsewhere",
		})
		d.src = nil
		return d
	}
	d.lines = lineStarts(src)
	if d.characters() {
		d.load()
	}
	return d
}

// OK reports whether the text could be parsed at all.
func (d *Doc) OK() bool { return d.root != nil }

// File is the name that was given to Parse.
func (d *Doc) File() string { return d.file }

// Root is the map that the text consists of.
func (d *Doc) Root() Map {
	return Value{doc: d, node: d.root}.Map()
}

// Report adds a finding and fills in its source line.
func (d *Doc) Report(f finding.Finding) {
	if f.Place.File == "" {
		f.Place.File = d.file
	}
	if f.Source == "" && f.Place.File == d.file {
		f.Source = d.Line(f.Place.Line)
	}
	d.list.Add(f)
}

// excuse lets the map n lack the key.
func (d *Doc) excuse(n *yaml.Node, key string) {
	if d.excused[n] == nil {
		d.excused[n] = map[string]bool{}
	}
	d.excused[n][key] = true
}

// Line returns line n, counted from 1, without its end; "" when there is none.
func (d *Doc) Line(n int) string {
	if n < 1 || n > len(d.lines) {
		return ""
	}
	end := len(d.src)
	if n < len(d.lines) {
		end = d.lines[n]
	}
	return strings.TrimRight(string(d.src[d.lines[n-1]:end]), "\r\n")
}
