package pages

import (
	"strings"

	"cupel/internal/desk"
)

// everywhere are the actions that every page has: POST /do/NAME.
var everywhere = map[string]action{
	"undo": {do: func(v *visit) error { return v.undo("undone", v.s.desk.Undo) }},
	"redo": {do: func(v *visit) error { return v.undo("redone", v.s.desk.Redo) }},
	"stop": {do: func(v *visit) error {
		v.s.desk.Stop(v.field("work"))
		return v.done("", nil)
	}},
	"settings": {do: func(v *visit) error {
		p := prefs{
			Language: v.field("language"), Comma: oneOf(v.field("comma"), "comma", "point"), Letters: oneOf(v.field("letters"), "off"),
			Sound: oneOf(v.field("sound"), "on"), Foot: oneOf(v.field("foot"), "on"), Theme: oneOf(v.field("theme"), "light", "dark"),
		}
		p.write(v.w)
		return v.done("", nil)
	}},
}

// undo takes an action back, or does it again, and says which.
func (v *visit) undo(key string, move func() (string, error)) error {
	label, err := move()
	if err != nil {
		return err
	}
	return v.done("", map[string]string{"say": v.T(key, "what", v.label(label))})
}

// label is an action's label in the reader's language. A label is a key of the
// language file with values behind it, between bars: "label.text|board.yaml".
func (v *visit) label(label string) string {
	if label == desk.Outside {
		return v.T("label.outside")
	}
	key, value, _ := strings.Cut(label, "|")
	if !v.Has(key) {
		return label
	}
	return v.T(key, "what", value)
}

// Label is label for templates.
func (v *visit) Label(label string) string { return v.label(label) }

// labelled makes a label of a key and what it speaks of.
func labelled(key, what string) string { return key + "|" + what }
