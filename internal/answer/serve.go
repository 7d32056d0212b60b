package answer

// Serve answers where pages are served; it is written on one line, before the
// serving begins.
type Serve struct {
	Head
	URL string `json:"url"`
	LAN bool   `json:"lan"` // other devices may come in, with the PIN
}
