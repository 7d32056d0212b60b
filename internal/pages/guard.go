package pages

import (
	"crypto/subtle"
	"net/http"
	"net/url"
	"time"
)

// policy lets a page have scripts, styles and pictures of this server alone, and
// be shown in no frame of others.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; " +
	"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// usualLimit is the most bytes a request may have.
const usualLimit = 5 << 20

// guard refuses requests that do not come from our own pages.
func (s *Server) guard(next http.Handler, ours func(host string) bool) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		// A stream sets a deadline of its own with every event.
		_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(writeTime))
		switch {
		case !ours(r.Host):
			s.refuse(w, r, http.StatusMisdirectedRequest, "refused.host")
		case r.Method == http.MethodGet || r.Method == http.MethodHead:
			if site := r.Header.Get("Sec-Fetch-Site"); site == "cross-site" && r.Header.Get("Sec-Fetch-Mode") != "navigate" {
				s.refuse(w, r, http.StatusForbidden, "refused.origin")
				return
			}
			next.ServeHTTP(w, r)
		case r.Method != http.MethodPost:
			s.refuse(w, r, http.StatusMethodNotAllowed, "refused.method")
		case !sameOrigin(r):
			s.refuse(w, r, http.StatusForbidden, "refused.origin")
		default:
			next.ServeHTTP(w, r)
		}
	})
}

// sameOrigin reports whether a POST was made by a page of this very server. A
// browser always says where a POST comes from; what does not say it is none.
func sameOrigin(r *http.Request) bool {
	from := r.Header.Get("Origin")
	if from == "" || from == "null" {
		return false
	}
	u, err := url.Parse(from)
	return err == nil && u.Host == r.Host && u.Scheme == "http"
}

// carriesToken reports whether a POST carries the token of our pages, in its
// header or as a field of its form.
func (s *Server) carriesToken(r *http.Request) bool {
	got := r.Header.Get("X-Cupel-Token")
	if got == "" {
		got = r.FormValue("token")
	}
	return subtle.ConstantTimeCompare([]byte(got), []byte(s.token)) == 1
}
