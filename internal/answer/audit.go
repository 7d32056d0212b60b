package answer

// Audit answers which of the figures stated of a board cannot be true
// together, and what is missing among them.
type Audit struct {
	Head
	Findings List[Finding] `json:"findings"`
}
