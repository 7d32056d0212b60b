package answer

// Draw answers a drawn sheet: where the picture went, and what a reader's eye
// has to do on it.
type Draw struct {
	Head
	File      Text         `json:"file"` // null: the picture itself is in svg
	Parts     int          `json:"parts"`
	Crossings int          `json:"crossings"`
	Bends     int          `json:"bends"`
	Overlaps  int          `json:"overlaps"`
	Nets      int          `json:"nets"`
	Names     int          `json:"names"`    // of nets, where a wire ends in one
	Unplaced  List[string] `json:"unplaced"` // parts that stand in no function
	Show      Text         `json:"show"`     // what is shown on top
	SVG       Text         `json:"svg"`
}
