package pages

import "slices"

// clientWords are the texts that modules say, by the names they know them by.
var clientWords = []string{"lost", "found", "kept", "elsewhere", "reload", "saved", "saving", "fine", "line"}

// Words are the texts that the modules on the page need.
func (v *visit) Words() map[string]string {
	out := map[string]string{}
	for _, w := range clientWords {
		out[w] = v.T("client." + w)
	}
	return out
}

// Key is a key and what it does.
type Key struct{ Key, Text string }

// keyText is a key and the key of its text in the language file.
type keyText struct{ key, text string }

// keys are the keys of every page, in the order they are listed.
var keys = []keyText{
	{"[ ]", "keys.steps"},
	{"/", "keys.goto"},
	{"?", "keys.help"},
	{"u · Ctrl Z", "keys.undo"},
	{"y · Ctrl Shift Z", "keys.redo"},
	{".", "keys.stop"},
	{"Esc", "keys.escape"},
}

// KeyList are the keys of the page.
func (v *visit) KeyList() []Key {
	var out []Key
	for _, k := range append(slices.Clone(v.page.keys), keys...) {
		out = append(out, Key{k.key, v.T(k.text)})
	}
	return out
}
