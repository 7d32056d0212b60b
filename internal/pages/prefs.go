package pages

import (
	"net/http"
	"net/url"
	"time"
)

// prefs are what one browser is set to. They say nothing of the dossier, so they
// stay with the browser, in a cookie.
type prefs struct {
	Language string
	Comma    string // "", "comma", "point"
	Letters  string // "": letters are keys, "off"
	Sound    string // "": no sound, "on"
	Foot     string // "": none, "on": a foot switch presses c, held it means open
	Theme    string // "": as the system, "light", "dark"
}

const prefsCookie = "cupel-settings"

func readPrefs(r *http.Request) prefs {
	c, err := r.Cookie(prefsCookie)
	if err != nil {
		return prefs{}
	}
	q, err := url.ParseQuery(c.Value)
	if err != nil {
		return prefs{}
	}
	return prefs{Language: q.Get("language"), Comma: q.Get("comma"), Letters: q.Get("letters"), Sound: q.Get("sound"), Foot: oneOf(q.Get("foot"), "on"), Theme: oneOf(q.Get("theme"), "light", "dark")}
}

func oneOf(word string, words ...string) string {
	for _, w := range words {
		if w == word {
			return w
		}
	}
	return ""
}

func (p prefs) write(w http.ResponseWriter) {
	q := url.Values{"language": {p.Language}, "comma": {p.Comma}, "letters": {p.Letters}, "sound": {p.Sound}, "foot": {p.Foot}, "theme": {p.Theme}}
	http.SetCookie(w, &http.Cookie{
		Name: prefsCookie, Value: q.Encode(), Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode,
		MaxAge: int((365 * 24 * time.Hour).Seconds()),
	})
}
