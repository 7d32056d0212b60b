package answer

// Check answers what is wrong with the texts of a dossier.
type Check struct {
	Head
	Findings List[Finding] `json:"findings"`
}

// Finding is one thing that is wrong, or worth knowing.
type Finding struct {
	Code       Text              `json:"code"`
	Level      string            `json:"level"`
	File       Text              `json:"file"`
	Line       *int              `json:"line"`
	Column     *int              `json:"column"`
	Text       string            `json:"text"`
	Figures    List[NamedFigure] `json:"figures"`
	Arithmetic Text              `json:"arithmetic"`
	Do         Text              `json:"do"`
	Suggestion Text              `json:"suggestion"`
	Source     Text              `json:"source"` // the line itself
}

// NamedFigure is a number that a finding speaks of.
type NamedFigure struct {
	Name  string   `json:"name"`
	Value *float64 `json:"value"`
	Unit  Text     `json:"unit"`
}

// Error answers that there is no answer, with the exit status of the command.
type Error struct {
	Cupel    int           `json:"cupel"`
	Answer   string        `json:"answer"`
	Exit     int           `json:"exit"`
	Findings List[Finding] `json:"findings"`
}

// NewError returns an error answer.
func NewError(exit int, findings []Finding) Error {
	return Error{Cupel: Format, Answer: "error", Exit: exit, Findings: findings}
}
