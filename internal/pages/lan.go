package pages

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"fmt"
	"math/big"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"
)

// Tries of a PIN. Twenty guesses of a million are one chance in 50 000.
const (
	mostTries   = 20
	minuteTries = 5
)

// mostDevices is how many devices may be in at once.
const mostDevices = 8

// lan lets other devices of the network in, with a PIN.
type lan struct {
	s    *Server
	pin  string
	port string
	now  func() time.Time
	off  context.CancelFunc

	mu    sync.Mutex
	ended bool
	tries []time.Time // all wrong ones
	in    []device
}

// device is a device that gave the PIN.
type device struct {
	ID   string // short, for forms
	Name string
	key  string // what its browser carries
}

const deviceCookie = "cupel-device"

// LAN opens the pages to other devices on l until ctx ends or the PIN was
// guessed wrong too often. It returns the PIN, which is for the terminal alone,
// and what serves; now is the clock.
func (s *Server) LAN(ctx context.Context, l net.Listener, now func() time.Time) (pin string, serve func() error, err error) {
	n, err := rand.Int(rand.Reader, big.NewInt(1e6))
	if err != nil {
		return "", nil, err
	}
	_, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		return "", nil, err
	}
	ctx, off := context.WithCancel(ctx)
	x := &lan{s: s, pin: fmt.Sprintf("%06d", n), port: port, now: now, off: off}
	s.mu.Lock()
	s.lan = x
	s.mu.Unlock()
	return x.pin, func() error {
		defer off()
		err := s.serve(ctx, l, s.guard(x.door(s.routes()), x.ours))
		x.mu.Lock()
		defer x.mu.Unlock()
		x.ended, x.in = true, nil
		return err
	}, nil
}

// ours reports whether a Host is an address of this machine: a name could be
// bent here by whoever answers for names.
func (x *lan) ours(host string) bool {
	name, port, err := net.SplitHostPort(host)
	return err == nil && port == x.port && net.ParseIP(name) != nil
}

// door lets those in who gave the PIN, and asks the others for it.
func (x *lan) door(inside http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if d, ok := x.known(r); ok {
			inside.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), deviceKey{}, d.ID)))
			return
		}
		switch {
		case strings.HasPrefix(r.URL.Path, "/static/") && r.Method == http.MethodGet:
			inside.ServeHTTP(w, r) // how the page that asks looks
		case r.Method == http.MethodPost && r.URL.Path == "/pin":
			x.enter(w, r)
		case r.Method == http.MethodGet:
			x.ask(w, r, http.StatusUnauthorized, "pin.first")
		default:
			x.s.refuse(w, r, http.StatusUnauthorized, "refused.pin")
		}
	})
}

type deviceKey struct{}

// known is the device whose browser carries a key that was given out.
func (x *lan) known(r *http.Request) (device, bool) {
	c, err := r.Cookie(deviceCookie)
	if err != nil {
		return device{}, false
	}
	x.mu.Lock()
	defer x.mu.Unlock()
	for _, d := range x.in {
		if subtle.ConstantTimeCompare([]byte(c.Value), []byte(d.key)) == 1 {
			return d, true
		}
	}
	return device{}, false
}

// ask shows the page that asks for the PIN.
func (x *lan) ask(w http.ResponseWriter, r *http.Request, status int, key string) {
	v := x.s.visit(w, r, x.s.pages[0])
	if v.scripted() {
		v.say(status, v.T(key))
		return
	}
	_ = v.write(status, "pin", view{visit: v, Name: "pin", First: v.T(key)})
}

// enter takes a PIN.
func (x *lan) enter(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, 4<<10)
	got := strings.ReplaceAll(strings.TrimSpace(r.FormValue("pin")), " ", "")
	d, key := x.try(got, r)
	if key != "" {
		x.ask(w, r, statusOf(key), key)
		return
	}
	http.SetCookie(w, &http.Cookie{Name: deviceCookie, Value: d.key, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	x.s.desk.Tell("lan")
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// statusOf is the status of a PIN that was not taken.
func statusOf(key string) int {
	switch key {
	case "pin.slow":
		return http.StatusTooManyRequests
	case "pin.off":
		return http.StatusGone
	}
	return http.StatusForbidden
}

// try holds a PIN against the right one. The key says why a device is not let
// in; empty lets it in.
func (x *lan) try(got string, r *http.Request) (device, string) {
	x.mu.Lock()
	defer x.mu.Unlock()
	now := x.now()
	recent := 0
	for _, t := range x.tries {
		if now.Sub(t) < time.Minute {
			recent++
		}
	}
	switch {
	case x.ended || len(x.tries) >= mostTries:
		return device{}, "pin.off"
	case recent >= minuteTries:
		return device{}, "pin.slow"
	case subtle.ConstantTimeCompare([]byte(got), []byte(x.pin)) != 1:
		x.tries = append(x.tries, now)
		if len(x.tries) >= mostTries {
			x.ended, x.in = true, nil
			// The answer goes out first.
			time.AfterFunc(time.Second, x.off)
			return device{}, "pin.off"
		}
		return device{}, "pin.wrong"
	case len(x.in) >= mostDevices:
		return device{}, "pin.full"
	}
	d := device{ID: rand.Text()[:8], Name: deviceName(r), key: rand.Text()}
	x.in = append(x.in, d)
	return d, ""
}

// deviceName is how a device is spoken of: its address, and what it is as far as
// its browser says.
func deviceName(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		host = r.RemoteAddr
	}
	for _, kind := range []string{"iPhone", "iPad", "Android", "Windows", "Macintosh", "Linux"} {
		if strings.Contains(r.UserAgent(), kind) {
			return host + " (" + kind + ")"
		}
	}
	return host
}

// devices are the other devices that are in; on says that some may come.
func (s *Server) devices() (on bool, in []string) {
	for _, d := range s.inside() {
		in = append(in, d.Name)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.lan != nil && !s.lan.over(), in
}

// over reports whether no device may come in any more.
func (x *lan) over() bool {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.ended
}

// inside lists the devices that are in.
func (s *Server) inside() []device {
	s.mu.Lock()
	x := s.lan
	s.mu.Unlock()
	if x == nil {
		return nil
	}
	x.mu.Lock()
	defer x.mu.Unlock()
	return slices.Clone(x.in)
}

// sendAway takes a device's leave to come in.
func (s *Server) sendAway(id string) {
	s.mu.Lock()
	x := s.lan
	s.mu.Unlock()
	if x == nil {
		return
	}
	x.mu.Lock()
	x.in = slices.DeleteFunc(x.in, func(d device) bool { return d.ID == id })
	x.mu.Unlock()
	s.desk.Tell("lan")
}
