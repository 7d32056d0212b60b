package pages

import (
	"context"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"cupel/internal/desk"
	"cupel/internal/dossier/demo"
	"cupel/internal/dossier/folder"
	"go.uber.org/goleak"
)

func TestMain(m *testing.M) {
	goleak.VerifyTestMain(m, goleak.IgnoreTopFunction("net/http.(*persistConn).readLoop"), goleak.IgnoreTopFunction("net/http.(*persistConn).writeLoop"))
}

// served is a server on a socket, with a dossier that changes are looked for in.
type served struct {
	*Server
	t      testing.TB
	url    string
	dir    string
	client *http.Client
	stop   func() // nil while nothing is served
}

// serve serves the dossier of a demo board, or an empty folder where there is no
// board of that name.
func serve(t testing.TB, board string) *served {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "dossier")
	if texts, ok := demo.Texts(board); ok {
		if err := folder.Create(dir, texts); err != nil {
			t.Fatal(err)
		}
	}
	jar, _ := cookiejar.New(nil)
	x := &served{t: t, dir: dir, client: &http.Client{
		Jar: jar, Transport: &http.Transport{}, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}}
	x.start("127.0.0.1:0")
	t.Cleanup(func() {
		x.client.CloseIdleConnections()
		if x.stop != nil {
			x.stop()
		}
	})
	return x
}

// start serves the folder on an address, until stop.
func (x *served) start(address string) {
	x.t.Helper()
	d, err := desk.Open(x.dir)
	if err != nil {
		x.t.Fatal(err)
	}
	if x.Server, err = New(Options{Desk: d, Workers: 1}); err != nil {
		x.t.Fatal(err)
	}
	l, err := net.Listen("tcp", address)
	if err != nil {
		x.t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func(s *Server) { ended <- s.Serve(ctx, l) }(x.Server)
	x.url = "http://" + l.Addr().String()
	x.stop = func() {
		stop()
		if err := <-ended; err != nil {
			x.t.Error(err)
		}
		if err := d.Close(); err != nil {
			x.t.Error(err)
		}
		x.stop = nil
	}
}

// do sends a request, changed as an attacker or a page would.
func (x *served) do(method, path string, body io.Reader, with func(*http.Request)) (int, string, http.Header) {
	x.t.Helper()
	r, err := http.NewRequest(method, x.url+path, body)
	if err != nil {
		x.t.Fatal(err)
	}
	if with != nil {
		with(r)
	}
	a, err := x.client.Do(r)
	if err != nil {
		x.t.Fatal(err)
	}
	defer a.Body.Close()
	text, err := io.ReadAll(a.Body)
	if err != nil {
		x.t.Fatal(err)
	}
	return a.StatusCode, string(text), a.Header
}

// form sends a form as one of our own pages does.
func (x *served) form(path string, fields url.Values) (int, string, http.Header) {
	fields.Set("token", x.token)
	return x.do(http.MethodPost, path, strings.NewReader(fields.Encode()), x.asOwn)
}

func (x *served) asOwn(r *http.Request) {
	r.Header.Set("Origin", x.url)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
}

// files are all files of the dossier with their content, but for the hidden ones:
// the lock, and what can be undone.
func (x *served) files() map[string]string {
	x.t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(filepath.Dir(x.dir), func(p string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() || strings.HasPrefix(e.Name(), ".cupel-") {
			return err
		}
		text, err := os.ReadFile(p)
		out[p] = string(text)
		return err
	})
	if err != nil {
		x.t.Fatal(err)
	}
	return out
}

// Attacks are refused with a clear message, and nothing is changed.
func TestAttacks(t *testing.T) {
	x := serve(t, "hive-3s")
	before := x.files()
	save := func() url.Values {
		return url.Values{"file": {"board.yaml"}, "text": {"gone"}, "base": {x.desk.Now().Hash("board.yaml")}, "token": {x.token}}
	}
	post := func(fields url.Values, with func(*http.Request)) func() (int, string, http.Header) {
		return func() (int, string, http.Header) {
			return x.do(http.MethodPost, "/texts/save", strings.NewReader(fields.Encode()), func(r *http.Request) {
				x.asOwn(r)
				with(r)
			})
		}
	}
	get := func(path string, with func(*http.Request)) func() (int, string, http.Header) {
		return func() (int, string, http.Header) { return x.do(http.MethodGet, path, nil, with) }
	}
	named := func(name string) url.Values {
		f := save()
		f.Set("file", name)
		f.Set("base", "")
		return f
	}
	for _, a := range []struct {
		name   string
		send   func() (int, string, http.Header)
		status int
		says   string
	}{
		{"a foreign Host", get("/overview", func(r *http.Request) { r.Host = "board.example" }), 421, "own address only"},
		{"a name bent to this address", get("/events", func(r *http.Request) { r.Host = "board.example:" + strings.Split(x.url, ":")[2] }), 421, "own address only"},
		{"a foreign Host posts", post(save(), func(r *http.Request) { r.Host = "board.example" }), 421, "own address only"},
		{"a foreign Origin", post(save(), func(r *http.Request) { r.Header.Set("Origin", "http://board.example") }), 403, "Cupel&#39;s own pages"},
		{"another port's Origin", post(save(), func(r *http.Request) { r.Header.Set("Origin", "http://127.0.0.1:1") }), 403, "Cupel&#39;s own pages"},
		{"an opaque Origin", post(save(), func(r *http.Request) { r.Header.Set("Origin", "null") }), 403, "Cupel&#39;s own pages"},
		{"no Origin", post(save(), func(r *http.Request) { r.Header.Del("Origin") }), 403, "Cupel&#39;s own pages"},
		{"another site embeds", get("/overview", func(r *http.Request) {
			r.Header.Set("Sec-Fetch-Site", "cross-site")
			r.Header.Set("Sec-Fetch-Mode", "no-cors")
		}), 403, "Cupel&#39;s own pages"},
		{"no token", post(func() url.Values { f := save(); f.Del("token"); return f }(), func(*http.Request) {}), 403, "started anew"},
		{"a wrong token", post(func() url.Values { f := save(); f.Set("token", "x"); return f }(), func(*http.Request) {}), 403, "started anew"},
		{"another method", func() (int, string, http.Header) {
			return x.do(http.MethodPut, "/texts/save", strings.NewReader("x"), x.asOwn)
		}, 405, "forms sent"},
		{"traversal", post(named("../outside.yaml"), func(*http.Request) {}), 422, "no text ../outside.yaml"},
		{"traversal through parts", post(named("parts/../../outside.yaml"), func(*http.Request) {}), 422, "no text parts/"},
		{"a path from the root", post(named("/etc/x.yaml"), func(*http.Request) {}), 422, "no text /etc"},
		{"what can be undone", post(named(".cupel-undo"), func(*http.Request) {}), 422, "no text .cupel-undo"},
		{"the lock", post(named(".cupel-lock"), func(*http.Request) {}), 422, "no text .cupel-lock"},
		{"reading outside", get("/texts?file=../../etc/passwd", nil), 404, "no text"},
		{"static outside", get("/static/..%2f..%2fserver.go", nil), 404, "404"},
		{"no such page", get("/nothing", nil), 404, "no such page"},
		{"too large", func() (int, string, http.Header) {
			return x.do(http.MethodPost, "/texts/save", strings.NewReader("text="+strings.Repeat("x", usualLimit)), x.asOwn)
		}, 413, "larger than the 5"},
	} {
		status, text, head := a.send()
		if status != a.status || !strings.Contains(text, a.says) {
			t.Errorf("%s: %d, want %d with %q:\n%.600s", a.name, status, a.status, a.says, main(text))
		}
		if head.Get("Content-Security-Policy") != policy || head.Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s: headers %v", a.name, head)
		}
	}
	if now := x.files(); !equalFiles(before, now) {
		t.Errorf("something was changed: %v", now)
	}
}

// main is the part of a page that speaks of what was asked.
func main(text string) string {
	if i := strings.Index(text, "<main"); i >= 0 {
		return text[i:]
	}
	return text
}

func equalFiles(a, b map[string]string) bool {
	if len(a) != len(b) {
		return false
	}
	for name, text := range a {
		if b[name] != text {
			return false
		}
	}
	return true
}

var inline = regexp.MustCompile(`(?i)<style|<script(?:[^>]*)>[^<]|\sstyle=|\son[a-z]+=|javascript:`)

// No page has a script or a style in it: the policy would forbid them.
func TestNothingInline(t *testing.T) {
	for _, board := range []string{"", "hive-3s"} {
		x := serve(t, board)
		for _, p := range x.pages {
			status, text, _ := x.do(http.MethodGet, "/"+p.name, nil, nil)
			if status != http.StatusOK {
				t.Errorf("%q: /%s: %d", board, p.name, status)
			}
			if found := inline.FindString(text); found != "" {
				t.Errorf("%q: /%s has %q in it", board, p.name, found)
			}
			if i := strings.Index(text, "⟨"); i >= 0 {
				t.Errorf("%q: /%s lacks the text of %.60s", board, p.name, text[i:])
			}
		}
	}
}

// The first page comes within 300 ms and 200 kB, with all that it loads.
func TestFirstPage(t *testing.T) {
	x := serve(t, "sluice-5s")
	begun := time.Now()
	_, text, _ := x.do(http.MethodGet, "/overview", nil, nil)
	took := time.Since(begun)
	size := len(text)
	for _, m := range regexp.MustCompile(`(?:href|src)="(/static/[^"]+)"`).FindAllStringSubmatch(text, -1) {
		status, more, _ := x.do(http.MethodGet, m[1], nil, nil)
		if status != http.StatusOK {
			t.Errorf("%s: %d", m[1], status)
		}
		size += len(more)
	}
	t.Logf("the first page takes %d bytes and %v", size, took)
	if size >= 200_000 {
		t.Errorf("the first page takes %d bytes", size)
	}
	// On a machine that does other things as well the time says little: ten
	// times the goal is a defect wherever it runs.
	if took > 3*time.Second {
		t.Errorf("the first page takes %v", took)
	}
}

// Undo reverses the action and not the screen: made in one browser, undone in
// another, the file is byte for byte the one before.
func TestUndoAcrossBrowsers(t *testing.T) {
	x := serve(t, "hive-3s")
	before := x.files()
	base := x.desk.Now().Hash("claims.yaml")
	if status, text, _ := x.form("/texts/save", url.Values{"file": {"claims.yaml"}, "base": {base}, "text": {"cupel: 1\r\nfigures: []\r\n"}}); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, main(text))
	}
	if equalFiles(before, x.files()) {
		t.Fatal("nothing was saved")
	}
	other := *x
	other.client = &http.Client{Transport: &http.Transport{DisableKeepAlives: true}, CheckRedirect: x.client.CheckRedirect}
	if status, text, _ := other.form("/do/undo", url.Values{"back": {"/limits"}}); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, main(text))
	}
	if !equalFiles(before, x.files()) {
		t.Error("undone is not byte for byte what was before")
	}
}

// A second writer sees both texts, chooses, and nothing typed is lost.
func TestSecondWriter(t *testing.T) {
	x := serve(t, "hive-3s")
	base := x.desk.Now().Hash("claims.yaml")
	save := func(base, text string) (int, string) {
		status, page, _ := x.form("/texts/save", url.Values{"file": {"claims.yaml"}, "base": {base}, "text": {text}})
		return status, page
	}
	if status, _ := save(base, "# the first writer\n"); status != http.StatusSeeOther {
		t.Fatal(status)
	}
	status, page := save(base, "# the second writer\n")
	if status != http.StatusConflict || !strings.Contains(page, "# the first writer") || !strings.Contains(page, "# the second writer") {
		t.Fatalf("%d\n%s", status, main(page))
	}
	theirs := regexp.MustCompile(`name="base" value="([0-9a-f]+)"`).FindStringSubmatch(page)
	if theirs == nil {
		t.Fatal("the page does not let choose")
	}
	if status, _ := save(theirs[1], "# the second writer\n"); status != http.StatusSeeOther {
		t.Errorf("%d", status)
	}
	if got := string(x.desk.Now().Texts["claims.yaml"]); got != "# the second writer\n" {
		t.Errorf("saved is %q", got)
	}
}

// A redirect goes to our own pages alone.
func TestBack(t *testing.T) {
	x := serve(t, "")
	for back, want := range map[string]string{"/limits?ambient=20": "/limits?ambient=20", "//board.example": "/overview", "http://board.example/": "/overview", "/do/undo": "/overview", "": "/overview"} {
		_, _, head := x.form("/do/settings", url.Values{"back": {back}})
		if got := head.Get("Location"); got != want {
			t.Errorf("back to %q went to %q, want %q", back, got, want)
		}
	}
}

// lanServer lets other devices in on a socket of its own; the clock is moved by
// hand.
func lanServer(t *testing.T, x *served) (out *served, l *lan, clock *time.Time) {
	t.Helper()
	n, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	now := time.Unix(0, 0)
	ctx, stop := context.WithCancel(context.Background())
	pin, serve, err := x.LAN(ctx, n, func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	if !regexp.MustCompile(`^[0-9]{6}$`).MatchString(pin) {
		t.Errorf("the PIN is %q", pin)
	}
	ended := make(chan error, 1)
	go func() { ended <- serve() }()
	jar, _ := cookiejar.New(nil)
	o := *x
	o.url, o.client = "http://"+n.Addr().String(), &http.Client{Jar: jar, Transport: &http.Transport{DisableKeepAlives: true}, CheckRedirect: x.client.CheckRedirect}
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	return &o, x.lan, &now
}

// Without the PIN another device sees nothing and changes nothing; the PIN stands
// on no page; with it the pages say who is in.
func TestPIN(t *testing.T) {
	x := serve(t, "hive-3s")
	o, l, _ := lanServer(t, x)
	before := x.files()
	for _, path := range []string{"/overview", "/events", "/limits/wave?n=0", "/texts"} {
		if status, text, _ := o.do(http.MethodGet, path, nil, nil); status != http.StatusUnauthorized || strings.Contains(text, "hive-3s") || strings.Contains(text, l.pin) || strings.Contains(text, o.token) {
			t.Errorf("%s without PIN: %d\n%s", path, status, text)
		}
	}
	if status, text, _ := o.form("/do/undo", url.Values{}); status != http.StatusUnauthorized || !strings.Contains(text, "not given the PIN") {
		t.Errorf("an action without PIN: %d %s", status, main(text))
	}
	if status, _, _ := o.do(http.MethodGet, "/overview", nil, func(r *http.Request) { r.Host = "board.example:" + l.port }); status != 421 {
		t.Errorf("a name bent to the address: %d", status)
	}
	if status, _, _ := o.form("/pin", url.Values{"pin": {l.pin}}); status != http.StatusSeeOther {
		t.Fatalf("the right PIN: %d", status)
	}
	status, text, _ := o.do(http.MethodGet, "/overview", nil, nil)
	if status != http.StatusOK || !strings.Contains(text, "In are: 127.0.0.1") || strings.Contains(text, l.pin) {
		t.Errorf("with the PIN: %d\n%s", status, main(text))
	}
	// Sent away, it is out.
	if status, _, _ := x.form("/settings/away", url.Values{"device": {x.inside()[0].ID}}); status != http.StatusSeeOther {
		t.Errorf("sending away: %d", status)
	}
	if status, _, _ := o.do(http.MethodGet, "/overview", nil, nil); status != http.StatusUnauthorized {
		t.Errorf("a device that was sent away: %d", status)
	}
	if !equalFiles(before, x.files()) {
		t.Error("something was changed")
	}
}

// Five tries are taken a minute and twenty in all; then no device is let in, not
// even with the right PIN.
func TestWrongPIN(t *testing.T) {
	x := serve(t, "hive-3s")
	o, l, now := lanServer(t, x)
	wrong := "000000"
	if l.pin == wrong {
		wrong = "000001"
	}
	try := func(pin string) (int, string) {
		status, text, _ := o.form("/pin", url.Values{"pin": {pin}})
		return status, main(text)
	}
	for minute := range 4 {
		for i := range 5 {
			status, text := try(wrong)
			last := minute == 3 && i == 4
			if !last && status != http.StatusForbidden || last && (status != http.StatusGone || !strings.Contains(text, "any more")) {
				t.Errorf("try %d of minute %d: %d %s", i+1, minute, status, text)
			}
		}
		if minute < 3 {
			if status, text := try(l.pin); status != http.StatusTooManyRequests || !strings.Contains(text, "wait a minute") {
				t.Errorf("a sixth try in a minute: %d %s", status, text)
			}
		}
		*now = now.Add(61 * time.Second)
	}
	if on, _ := x.devices(); on || len(x.inside()) != 0 {
		t.Error("devices may still come in")
	}
	if _, key := l.try(l.pin, &http.Request{RemoteAddr: "192.0.2.1:1"}); key != "pin.off" {
		t.Errorf("the right PIN after twenty wrong ones: %q", key)
	}
}

// The parts that a newcomer types are on the board.
func TestBeginAndImport(t *testing.T) {
	x := serve(t, "")
	if status, text, head := x.form("/overview/begin", url.Values{"name": {"lamp-4s"}, "cells": {"4"}, "way": {"parts"}}); status != http.StatusSeeOther || head.Get("Location") != "/texts?file=board.yaml#import" {
		t.Fatalf("%d %s", status, main(text))
	}
	if status, text, _ := x.form("/texts/import", url.Values{"list": {"R1 R2, 330 Ω\nC1, nonsense of a value here, 0603\n"}}); status != http.StatusSeeOther {
		t.Errorf("%d %s", status, main(text))
	}
	if _, text, _ := x.do(http.MethodGet, "/texts", nil, nil); !strings.Contains(text, "C1: {value: nonsense") || !strings.Contains(text, `class="source"`) {
		t.Errorf("the mistake is not marked at its place:\n%s", main(text))
	}
	before := x.files()
	if status, text, _ := x.form("/texts/import", url.Values{"list": {"R3\n,1 Ω\n"}}); status != http.StatusUnprocessableEntity || !strings.Contains(text, "parts list:2") {
		t.Errorf("%d %s", status, main(text))
	}
	if status, _, _ := x.form("/overview/begin", url.Values{"name": {"other"}, "cells": {"4"}}); status != http.StatusUnprocessableEntity {
		t.Errorf("begun over a dossier: %d", status)
	}
	if !equalFiles(before, x.files()) {
		t.Error("something was changed")
	}
}
