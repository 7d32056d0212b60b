package text

import (
	"testing"

	"cupel/internal/finding"
)

func TestReadsWhatIsThere(t *testing.T) {
	var list finding.List
	root := Parse("b.yaml", []byte("board: a\ncells: 5\npads: {B-: GND, N: x}\nsize: 0603\nlist: [a, 7]\n"), &list).Root()
	root.Fields("board", "cells", "pads", "size", "list")
	if got := root.Need("board").Text(); got != "a" {
		t.Errorf("board = %q", got)
	}
	if got := root.Need("cells").IntIn(1, 32); got != 5 {
		t.Errorf("cells = %d", got)
	}
	if got := root.Need("size").Text(); got != "0603" {
		t.Errorf("size = %q", got)
	}
	if got := root.Get("pads").Map().Keys(); len(got) != 2 || got[1] != "N" {
		t.Errorf("pads = %q", got)
	}
	if got := root.Get("list").Texts(); len(got) != 2 || got[1] != "7" {
		t.Errorf("list = %q", got)
	}
	if len(list) != 0 {
		t.Errorf("findings: %v", list)
	}
}

func TestUnknownKeyIsSuggested(t *testing.T) {
	var list finding.List
	root := Parse("b.yaml", []byte("baord: a\ncells: x\n"), &list).Root()
	root.Fields("board", "cells")
	root.Need("cells").Int()
	if len(list) != 2 || list[0].Suggestion != "board" || list[0].Place.String() != "b.yaml:1:1" ||
		list[1].Code != NotWhole || list[1].Place.String() != "b.yaml:2:8" || list[1].Source != "cells: x" {
		t.Errorf("findings: %+v", list)
	}
}
