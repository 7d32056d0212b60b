package pages

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"

	"cupel/internal/desk"
)

// visit is one request for a page.
type visit struct {
	s    *Server
	w    http.ResponseWriter
	r    *http.Request
	page *page
	*language
	prefs
	State  desk.State
	device string // the other device that asks; empty for this machine
	parts  int    // of results, when the visit began
}

func (s *Server) visit(w http.ResponseWriter, r *http.Request, p *page) *visit {
	v := &visit{s: s, w: w, r: r, page: p, prefs: readPrefs(r), State: s.desk.Now(), parts: s.desk.Parts()}
	v.language = s.language(v.prefs)
	v.device, _ = r.Context().Value(deviceKey{}).(string)
	return v
}

// sorry is an error whose text is ready to be read.
type sorry struct {
	status int
	text   string
}

func (e *sorry) Error() string { return e.text }

// Parts is how many parts of results there were when the page was made.
func (v *visit) Parts() int { return v.parts }

// sorry refuses what a person asked for, with a text of the language file.
func (v *visit) sorry(key string, args ...any) error {
	return &sorry{http.StatusUnprocessableEntity, v.T(key, args...)}
}

// field is a field of the form or the address, without space around it.
func (v *visit) field(name string) string { return strings.TrimSpace(v.r.FormValue(name)) }

// text is a field as it was typed, with the line ends of a text file.
func (v *visit) text(name string) string {
	return strings.ReplaceAll(v.r.FormValue(name), "\r\n", "\n")
}

// scripted reports whether a module asks and wants JSON, rather than a browser
// that shows the answer.
func (v *visit) scripted() bool {
	return strings.Contains(v.r.Header.Get("Accept"), "application/json")
}

// done answers an action: a module gets the number of the state and what more is
// given, a browser goes on to the page it came from, or to the path given.
func (v *visit) done(to string, more any) error {
	if v.scripted() {
		return v.json(http.StatusOK, map[string]any{"number": v.s.desk.Now().Number, "more": more})
	}
	if to == "" {
		to = v.back()
	}
	http.Redirect(v.w, v.r, to, http.StatusSeeOther)
	return nil
}

// back is the page a form was on. Only our own pages are gone to.
func (v *visit) back() string {
	path, query, _ := strings.Cut(v.field("back"), "?")
	if p := v.s.byName[strings.TrimPrefix(path, "/")]; p == nil || !strings.HasPrefix(path, "/") {
		return "/" + v.page.name
	}
	if query != "" {
		path += "?" + query
	}
	return path
}

// json answers with data for a module.
func (v *visit) json(status int, data any) error {
	v.w.Header().Set("Content-Type", "application/json; charset=utf-8")
	v.w.WriteHeader(status)
	return json.NewEncoder(v.w).Encode(data)
}

// edit carries out an edit of the desk.
func (v *visit) edit(label string, files ...desk.File) error {
	_, err := v.s.desk.Do(desk.Edit{Label: label, Files: files})
	return err
}

// megabytes prints a limit.
func megabytes(n int64) string { return fmt.Sprintf("%d MB", n>>20) }
