package answer

// SheetList answers which part sheets come with Cupel.
type SheetList struct {
	Head
	Sheets List[SheetName] `json:"sheets"`
}

// SheetName is one part sheet.
type SheetName struct {
	Name  string       `json:"name"`
	Kind  string       `json:"kind"`
	Title Text         `json:"title"`
	Pins  List[string] `json:"pins"` // in the order of a list without names
}
