package pages

import (
	"bytes"
	"html/template"
	"net/http"
	"path"
	"slices"

	"cupel/internal/desk"
)

// tmpl is a page's template.
type tmpl = *template.Template

// shell are the templates that show no page of the chain.
var shell = []string{"refused", "conflict", "pin"}

// templates parses the layout with every page.
func (s *Server) templates() (map[string]tmpl, error) {
	names := slices.Clone(shell)
	for _, p := range s.pages {
		names = append(names, p.name)
	}
	out := map[string]tmpl{}
	base, err := template.New("layout.html").Funcs(functions).ParseFS(embedded, "templates/layout.html", "templates/pieces.html")
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		t, err := base.Clone()
		if err != nil {
			return nil, err
		}
		if out[name], err = t.ParseFS(embedded, path.Join("templates", name+".html")); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// view is what a template sees: the visit, and on top what the page gave.
type view struct {
	*visit
	Name    string // of the page
	First   string
	Chain   []link
	Token   string
	Back    string // where a form comes back to
	Module  bool
	Styles  bool
	Data    any
	Running []desk.Progress
	Devices []string
	LAN     bool
	Before  string // the pages that [ and ] step to
	After   string
	Mistake *mistakes
	At      int // number of the state shown
	Board   string
}

// render shows the visit's page.
func (v *visit) render() error {
	first, data, err := v.page.show(v)
	if err != nil {
		return err
	}
	return v.execute(http.StatusOK, v.page.name, view{
		First: first, Data: data, Module: v.page.module, Styles: v.page.styles, Mistake: v.mistakes(),
	})
}

// execute fills in what all pages have and writes the page.
func (v *visit) execute(status int, name string, x view) error {
	x.visit, x.Name, x.Token, x.At = v, name, v.s.token, v.State.Number
	x.Back = v.r.URL.RequestURI()
	x.Chain, x.Running = v.chain(), v.s.desk.Running()
	x.LAN, x.Devices = v.s.devices()
	x.Before, x.After = v.neighbours()
	x.Board = v.board()
	return v.write(status, name, x)
}

func (v *visit) write(status int, name string, x view) error {
	var b bytes.Buffer
	if err := v.s.shown[name].Execute(&b, x); err != nil {
		return err
	}
	v.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	v.w.WriteHeader(status)
	// A browser that is gone by now is told nothing more.
	_, _ = v.w.Write(b.Bytes())
	return nil
}

// neighbours are the pages before and after this one.
func (v *visit) neighbours() (before, after string) {
	var walk []string
	for _, p := range v.s.pages {
		if !p.outside {
			walk = append(walk, p.name)
		}
	}
	i := slices.Index(walk, v.page.name)
	if i > 0 {
		before = "/" + walk[i-1]
	}
	if i >= 0 && i+1 < len(walk) {
		after = "/" + walk[i+1]
	}
	return before, after
}

// board is the name of the board, or that of nothing.
func (v *visit) board() string {
	if d := v.State.Dossier; d != nil && d.Board.Name != "" {
		return d.Board.Name
	}
	return v.T("board.none")
}

// refuse answers a request that is not carried out.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, status int, key string, args ...any) {
	v := s.visit(w, r, s.pages[0])
	v.say(status, v.T(key, args...))
}

// say answers with one sentence: to a module as data, else as a page.
func (v *visit) say(status int, text string) {
	if v.scripted() {
		_ = v.json(status, map[string]any{"error": text})
		return
	}
	if err := v.write(status, "refused", view{visit: v, Name: "refused", First: text, Token: v.s.token}); err != nil {
		http.Error(v.w, text, status)
	}
}

// conflict shows both texts of a file and lets the person choose.
func (v *visit) conflict(c *desk.Conflict) {
	if v.scripted() {
		_ = v.json(http.StatusConflict, map[string]any{"error": v.T("conflict.first", "file", c.Name), "conflict": map[string]any{
			"name": c.Name, "theirs": string(c.Theirs), "yours": string(c.Yours), "base": c.Base,
		}})
		return
	}
	_ = v.execute(http.StatusConflict, "conflict", view{First: v.T("conflict.first", "file", c.Name), Data: c})
}

// functions are what templates can do beside showing data.
var functions = template.FuncMap{
	"dict":  dict,
	"text":  func(b []byte) string { return string(b) },
	"html":  func(s string) template.HTML { return template.HTML(s) },
	"width": func(share float64) float64 { return share * ruleWidth },
	"add":   func(a, b int) int { return a + b },
}

// dict makes data of pairs, for a piece that needs several.
func dict(pairs ...any) map[string]any {
	out := map[string]any{}
	for i := 0; i+1 < len(pairs); i += 2 {
		if key, ok := pairs[i].(string); ok {
			out[key] = pairs[i+1]
		}
	}
	return out
}
