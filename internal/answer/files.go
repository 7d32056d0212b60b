package answer

// DemoList answers which demo boards there are.
type DemoList struct {
	Head
	Boards List[DemoBoard] `json:"boards"`
}

// DemoBoard is one demo board.
type DemoBoard struct {
	Name    string `json:"name"`
	Cells   int    `json:"cells"`
	Planted bool   `json:"planted"` // a fault was put into it on purpose
	Title   Text   `json:"title"`
}

// Demo answers a run of the demo: what was written, and the prediction.
type Demo struct {
	Head
	Files  List[string] `json:"files"`
	Report string       `json:"report"`
	Prediction
}

// Files answers a command that wrote files: their names below the directory
// or file that was named to it.
type Files struct {
	Head
	Files List[string] `json:"files"`
}

// Deck answers an export of SPICE cards.
type Deck struct {
	Head
	Trial string `json:"trial"`
	Cell  *int   `json:"cell"`
	Cards string `json:"cards"`
}

// Nets answers an export of the nets for the tester of bare boards.
type Nets struct {
	Head
	Pads     int    `json:"pads"`
	Nets     int    `json:"nets"`
	Unplaced int    `json:"unplaced"` // pads whose place is not known
	Records  string `json:"records"`
}

// Version answers which program this is.
type Version struct {
	Head
	Version string `json:"version"`
	Go      string `json:"go"`
}
