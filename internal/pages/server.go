package pages

import (
	"context"
	"crypto/rand"
	"embed"
	"errors"
	"io/fs"
	"net"
	"net/http"
	"sync"
	"time"

	"cupel/internal/desk"
)

//go:embed templates static lang
var embedded embed.FS

// Options are what a server is made of.
type Options struct {
	Desk *desk.Desk
	// Languages are texts beside the embedded ones: the content of language
	// files by their tags.
	Languages map[string][]byte
	// Language is the tag of the language where a person chose none; "en".
	Language string
	// Workers is how many jobs of a study run at a time; 0: one a core.
	Workers int
}

// Server serves the pages of one dossier.
type Server struct {
	desk    *desk.Desk
	workers int
	usual   string // language
	token   string // what every POST has to carry
	pages   []*page
	byName  map[string]*page
	langs   map[string]*language
	shown   map[string]tmpl // by page

	memo     memo
	outcomes outcomes
	rings    rings
	tiles    tiles

	mu   sync.Mutex
	own  map[string]bool // the Host names that are ours
	lan  *lan            // nil: no other device
	once facts           // of the present state, see facts.go
}

// New makes a server. It does not listen yet.
func New(o Options) (*Server, error) {
	s := &Server{desk: o.Desk, workers: o.Workers, usual: o.Language, token: rand.Text(), pages: registry(), byName: map[string]*page{}, own: map[string]bool{}}
	if s.usual == "" {
		s.usual = "en"
	}
	for _, p := range s.pages {
		s.byName[p.name] = p
	}
	var err error
	if s.langs, err = languages(o.Languages); err != nil {
		return nil, err
	}
	if s.langs[s.usual] == nil {
		return nil, errors.New("there is no language " + s.usual)
	}
	s.shown, err = s.templates()
	return s, err
}

// Times after which a slow peer is given up.
const (
	headTime  = 5 * time.Second
	bodyTime  = 2 * time.Minute // a photo over a weak radio
	writeTime = time.Minute
	idleTime  = 2 * time.Minute
	endTime   = 2 * time.Second
	headBytes = 64 << 10
)

// Serve answers requests on a loopback listener until ctx ends.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	s.owns(l.Addr())
	return s.serve(ctx, l, s.Handler())
}

func (s *Server) serve(ctx context.Context, l net.Listener, h http.Handler) error {
	// Open event streams end with the server.
	open, shut := context.WithCancel(context.Background())
	defer shut()
	srv := &http.Server{
		Handler: h, ReadHeaderTimeout: headTime, ReadTimeout: bodyTime, IdleTimeout: idleTime, MaxHeaderBytes: headBytes,
		BaseContext: func(net.Listener) context.Context { return open },
	}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		<-ctx.Done()
		shut()
		last, cancel := context.WithTimeout(context.Background(), endTime)
		defer cancel()
		if srv.Shutdown(last) != nil {
			srv.Close()
		}
	}()
	err := srv.Serve(l)
	if errors.Is(err, http.ErrServerClosed) {
		<-ended
		return nil
	}
	return err
}

// owns makes the names of a loopback address ours.
func (s *Server) owns(a net.Addr) {
	s.mu.Lock()
	defer s.mu.Unlock()
	_, port, err := net.SplitHostPort(a.String())
	if err != nil {
		return
	}
	for _, name := range []string{"127.0.0.1", "localhost", "::1"} {
		s.own[net.JoinHostPort(name, port)] = true
	}
	s.own[a.String()] = true
}

// Handler answers the requests of the machine itself.
func (s *Server) Handler() http.Handler { return s.guard(s.routes(), s.ours) }

func (s *Server) ours(host string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.own[host]
}

// static are the style sheets and modules.
func static() fs.FS {
	sub, err := fs.Sub(embedded, "static")
	if err != nil {
		panic(err) // the name is a constant
	}
	return sub
}
