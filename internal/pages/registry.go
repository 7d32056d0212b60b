package pages

// page is one page of the chain. Its name is its path and the beginning of its
// keys in the language file.
type page struct {
	name string
	// module and styles say that static/NAME.js and static/NAME.css exist.
	module, styles bool
	// place is where its links stand in the chain, in tens.
	place int
	// outside marks a page that [ and ] do not step to.
	outside bool
	// links are the page's links of the chain; nil gives none.
	links func(*visit) []link
	// show gives what the page's template sees as .Data, and the first line.
	show func(*visit) (first string, data any, err error)
	// keys are the page's own keys beside those of every page.
	keys []keyText
	// actions are what a person does here: POST /NAME/ACTION.
	actions map[string]action
	// files are what is fetched besides: GET /NAME/FILE?…
	files map[string]func(*visit) error
}

// action is one thing a person does.
type action struct {
	limit int64 // most bytes of the request; 0: usualLimit
	do    func(*visit) error
}

// link is one link of the chain: a text with its count, and how much of it is
// proven, implied and assumed; the rest is unknown.
type link struct {
	Page, Text               string
	Proven, Implied, Assumed float64 // shares, together at most 1
}

// registry lists the pages in the order of the chain.
func registry() []*page {
	return []*page{overviewPage(), ringoutPage(), circuitPage(), limitsPage(), recordPage(), textsPage(), settingsPage()}
}
