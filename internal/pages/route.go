package pages

import (
	"errors"
	"net/http"
	"strings"

	"cupel/internal/desk"
)

// routes lists what can be asked for.
func (s *Server) routes() http.Handler {
	m := http.NewServeMux()
	files := http.StripPrefix("/static/", http.FileServerFS(static()))
	m.HandleFunc("GET /static/{file}", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-cache")
		files.ServeHTTP(w, r)
	})
	m.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, "/"+s.pages[0].name, http.StatusSeeOther)
	})
	m.HandleFunc("GET /events", s.events)
	m.HandleFunc("GET /{page}", s.get)
	m.HandleFunc("GET /{page}/{file}", s.get)
	m.HandleFunc("POST /{page}/{action}", s.post)
	m.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) { s.refuse(w, r, http.StatusNotFound, "refused.nothing") })
	return m
}

// get shows a page or hands out one of its files.
func (s *Server) get(w http.ResponseWriter, r *http.Request) {
	p := s.byName[r.PathValue("page")]
	if p == nil {
		s.refuse(w, r, http.StatusNotFound, "refused.nothing")
		return
	}
	v := s.visit(w, r, p)
	file := r.PathValue("file")
	if file == "" {
		v.conclude(v.render())
		return
	}
	hand, ok := p.files[file]
	if !ok {
		s.refuse(w, r, http.StatusNotFound, "refused.nothing")
		return
	}
	v.conclude(hand(v))
}

// post carries out an action.
func (s *Server) post(w http.ResponseWriter, r *http.Request) {
	act, p, ok := s.action(r.PathValue("page"), r.PathValue("action"))
	if !ok {
		s.refuse(w, r, http.StatusNotFound, "refused.nothing")
		return
	}
	limit := act.limit
	if limit == 0 {
		limit = usualLimit
	}
	r.Body = http.MaxBytesReader(w, r.Body, limit)
	if err := parse(r, limit); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			s.refuse(w, r, http.StatusRequestEntityTooLarge, "refused.large", "most", megabytes(limit))
			return
		}
		s.refuse(w, r, http.StatusBadRequest, "refused.form")
		return
	}
	if !s.carriesToken(r) {
		s.refuse(w, r, http.StatusForbidden, "refused.token")
		return
	}
	v := s.visit(w, r, p)
	v.conclude(act.do(v))
}

// action finds an action: of a page, or one that every page has.
func (s *Server) action(page, name string) (action, *page, bool) {
	if page == "do" {
		a, ok := everywhere[name]
		return a, s.pages[0], ok
	}
	p := s.byName[page]
	if p == nil {
		return action{}, nil, false
	}
	a, ok := p.actions[name]
	return a, p, ok
}

// parse reads the form of a request whole.
func parse(r *http.Request, limit int64) error {
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		// What is larger than this lies in a file of the system meanwhile.
		return r.ParseMultipartForm(min(limit, 16<<20))
	}
	return r.ParseForm()
}

// conclude answers with what went wrong, if anything did.
func (v *visit) conclude(err error) {
	var conflict *desk.Conflict
	var sorry *sorry
	switch {
	case err == nil:
	case errors.As(err, &conflict):
		v.conflict(conflict)
	case errors.As(err, &sorry):
		v.say(sorry.status, sorry.text)
	case errors.Is(err, desk.ErrNothing):
		v.say(http.StatusConflict, v.T("refused.undo"))
	default:
		v.say(http.StatusInternalServerError, err.Error())
	}
}
