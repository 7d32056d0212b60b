package pages

import (
	"maps"
	"net/http"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/board/boardfile"
	"cupel/internal/catalog/generic"
	"cupel/internal/claim/claimfile"
	"cupel/internal/desk"
	"cupel/internal/dossier"
)

func textsPage() *page {
	return &page{
		name: "texts", module: true, styles: true, outside: true, show: showTexts,
		actions: map[string]action{"save": {do: saveText}, "check": {do: checkText}, "import": {do: importParts}, "sheet": {do: newSheet}},
	}
}

// texts is what the page's template shows.
type texts struct {
	Names     []string
	Name      string // of the text that is open
	Text      string
	Base      string // its hash
	Findings  []answer.Finding
	Elsewhere map[string]int // mistakes by text
	Sheets    []string       // generic part sheets, to begin one of one's own
	Board     bool           // the open text is the board
}

func showTexts(v *visit) (string, any, error) {
	x := texts{Names: v.textNames(), Name: v.field("file"), Elsewhere: map[string]int{}, Sheets: generic.Names()}
	if v.State.Empty() {
		return v.T("texts.first.empty"), x, nil
	}
	if x.Name == "" {
		x.Name = boardfile.Name
	}
	if !desk.Allowed(x.Name) || !slices.Contains(x.Names, x.Name) {
		return "", nil, &sorry{http.StatusNotFound, v.T("texts.none", "file", x.Name)}
	}
	x.Text, x.Base, x.Board = string(v.State.Texts[x.Name]), v.State.Hash(x.Name), x.Name == boardfile.Name
	all := findings(v.State.Dossier)
	for _, f := range all {
		x.Elsewhere[string(f.File)]++
		if string(f.File) == x.Name {
			x.Findings = append(x.Findings, f)
		}
	}
	if len(all) == 0 {
		return v.T("texts.first", "n", len(v.State.Texts)), x, nil
	}
	return v.T("texts.first.wrong", "n", len(all), "file", all[0].File), x, nil
}

// textNames are the texts in the order of the work: the board, what is stated,
// the rest. Those a dossier may have and this one has not are offered.
func (v *visit) textNames() []string {
	first := []string{boardfile.Name, claimfile.Name, dossier.Roles}
	var rest []string
	for _, name := range slices.Sorted(maps.Keys(v.State.Texts)) {
		if !slices.Contains(first, name) {
			rest = append(rest, name)
		}
	}
	return append(first, rest...)
}

// saveText puts a text in the place of the one it was made from. A text with
// mistakes is saved too: nothing typed is lost.
func saveText(v *visit) error {
	name, base := v.field("file"), v.field("base")
	if !desk.Allowed(name) {
		return v.sorry("texts.none", "file", name)
	}
	text := []byte(v.text("text"))
	if err := v.edit(labelled("label.text", name), desk.File{Name: name, Base: base, Text: text}); err != nil {
		return err
	}
	return v.done("/texts?file="+name, map[string]string{"base": desk.Hash(text)})
}

// marked is a mistake for the editor, with its texts.
type marked struct {
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Level  string `json:"level"`
	Text   string `json:"text"`
	Do     string `json:"do"`
}

// checkText says what would be wrong with a text that is being typed.
func checkText(v *visit) error {
	name := v.field("file")
	if !desk.Allowed(name) {
		return v.sorry("texts.none", "file", name)
	}
	all := maps.Clone(v.State.Dossier.Texts)
	all[name] = []byte(v.text("text"))
	out := []marked{}
	for _, f := range findings(dossier.OfTexts(all)) {
		if string(f.File) != name {
			continue
		}
		m := marked{Level: f.Level, Text: v.Sentence(v.Number2(f.Text)), Do: string(f.Do)}
		if f.Line != nil {
			m.Line = *f.Line
		}
		if f.Column != nil {
			m.Column = *f.Column
		}
		if f.Suggestion != "" {
			m.Do = v.T("finding.suggestion", "word", f.Suggestion)
		}
		out = append(out, m)
	}
	return v.json(http.StatusOK, map[string]any{"findings": out})
}

// importParts adds the parts of a list that was typed or pasted to the board.
func importParts(v *visit) error {
	if v.State.Empty() {
		return v.sorry("refused.nodossier")
	}
	parts, wrong := boardfile.ReadList(v.text("list"), func(name string) bool {
		_, ok := v.State.Dossier.Sheets.Sheet(name)
		return ok
	})
	switch {
	case len(wrong) > 0:
		var lines []string
		for _, f := range wrong {
			lines = append(lines, f.String())
		}
		return v.sorry("texts.list.wrong", "what", strings.Join(lines, "; "))
	case len(parts) == 0:
		return v.sorry("texts.list.empty")
	}
	src := v.State.Texts[boardfile.Name]
	text, err := boardfile.AddParts(src, parts)
	if err != nil {
		return v.sorry("texts.list.wrong", "what", err.Error())
	}
	n := 0
	for _, p := range parts {
		n += len(p.Refs)
	}
	if err := v.edit(labelled("label.parts", v.T("label.parts.n", "n", n)), desk.File{Name: boardfile.Name, Base: desk.Hash(src), Text: text}); err != nil {
		return err
	}
	return v.done("/texts?file="+boardfile.Name, map[string]string{"to": "/texts?file=" + boardfile.Name})
}

// newSheet begins a part sheet of the dossier's own, from a generic one.
func newSheet(v *visit) error {
	name := v.field("name")
	if !named(name) {
		return v.sorry("texts.sheet.name")
	}
	text, ok := generic.Text(v.field("like"))
	if !ok {
		return v.sorry("texts.sheet.like")
	}
	text = []byte(strings.Replace(string(text), "sheet: "+v.field("like"), "sheet: "+name, 1))
	file := dossier.Parts + "/" + name + ".yaml"
	if err := v.edit(labelled("label.text", file), desk.File{Name: file, Text: text}); err != nil {
		return err
	}
	return v.done("/texts?file="+file, map[string]string{"to": "/texts?file=" + file})
}
