package answer

// Explain answers what every part of a board is for.
type Explain struct {
	Head
	Parts       List[ExplainedPart]   `json:"parts"`
	Explained   int                   `json:"explained"`
	Unknown     int                   `json:"unknown"`
	Differences List[SliceDifference] `json:"differences"` // of cells that are drawn alike otherwise
	Assumed     List[string]          `json:"assumed"`
}

// ExplainedPart is a part with its role and what supports it.
type ExplainedPart struct {
	Part     string             `json:"part"`
	Role     string             `json:"role"` // "unknown" where nothing explains it
	Block    Text               `json:"block"`
	Cell     *int               `json:"cell"`
	Sentence string             `json:"sentence"`
	Grade    string             `json:"grade"`
	Evidence List[RoleEvidence] `json:"evidence"`
	Ask      Text               `json:"ask"`    // the most informative measurement on an unknown part
	Piece    Text               `json:"piece"`  // which piece of the role it is
	Signal   Text               `json:"signal"` // of a level shifter: what a signal means, "fault" or "fine"
	Also     List[string]       `json:"also"`   // other roles that its drawing allows
	Reason   Text               `json:"reason"` // of a person who overruled what was found
}

// RoleEvidence is one thing that supports a role.
type RoleEvidence struct {
	Kind string `json:"kind"` // "pattern", "fault", "voltage", "person"
	Ref  string `json:"ref"`
}

// SliceDifference is where one cell's slice is not like the others.
type SliceDifference struct {
	Cell int    `json:"cell"`
	Part Text   `json:"part"` // null: it has no such part
	Like string `json:"like"`
	Text string `json:"text"`
}

// Faults answers what each single fault costs, silent losses first.
type Faults struct {
	Head
	Faults   List[Fault]  `json:"faults"`
	Tried    int          `json:"tried"`
	Silent   int          `json:"silent_losses"`
	Normal   List[string] `json:"normal_use"` // what counts as everyday use
	Assumed  List[string] `json:"assumed"`
	Cautions List[string] `json:"cautions"`
}

// Fault is one fault with what it does.
type Fault struct {
	Part    string            `json:"part"` // a pad where a lead is broken
	Fault   string            `json:"fault"`
	Lost    List[FaultEffect] `json:"lost"`
	Changed List[FaultEffect] `json:"changed"`
	Silent  bool              `json:"silent"`
	Safe    bool              `json:"safe"`
	Floats  List[string]      `json:"floats"` // nets that then float and control something
	Text    string            `json:"text"`
}

// FaultEffect is one thing that is lost or changed.
type FaultEffect struct {
	Trial string `json:"trial"`
	Cell  *int   `json:"cell"`
	Port  Text   `json:"port"`
	State Text   `json:"state"`
	What  string `json:"what"`
	Now   Text   `json:"now"`
}

// Voltages answers what a meter reads on every net in one state, and how near
// each part comes to its limits in all of them.
type Voltages struct {
	Head
	State    string         `json:"state"`
	Cell     *int           `json:"cell"` // that tripped
	Stimulus Text           `json:"stimulus"`
	Over     Text           `json:"over"` // what low and high go over
	Nets     List[NetLevel] `json:"nets"`
	Stress   List[Stress]   `json:"stress"`
	States   List[string]   `json:"states"` // that can be asked for
	Note     Text           `json:"note"`   // why there are no levels
	Assumed  List[string]   `json:"assumed"`
}

// NetLevel is the voltage of a net over B−.
type NetLevel struct {
	Net      string   `json:"net"`
	Value    *float64 `json:"value"`
	Low      *float64 `json:"low"`
	High     *float64 `json:"high"`
	Unit     string   `json:"unit"`
	Floating bool     `json:"floating"`
	Touch    Text     `json:"touch"` // where a probe reaches it
}

// Stress is the most a part sees of a quantity, beside its limit.
type Stress struct {
	Part     string   `json:"part"`
	Quantity string   `json:"quantity"`
	Value    *float64 `json:"value"`
	Limit    *float64 `json:"limit"`
	Unit     string   `json:"unit"`
	State    string   `json:"state"`
	Cell     *int     `json:"cell"`
	Basis    Text     `json:"basis"` // of the limit: "sheet", or "assumed" by the housing; null without one
}

// Story answers how a trip goes, step by step.
type Story struct {
	Head
	Trial    string          `json:"trial"`
	Cell     *int            `json:"cell"`
	Steps    List[StoryStep] `json:"steps"`
	Stimulus Text            `json:"stimulus"`
	Note     Text            `json:"note"` // why the chain ends before the bank
	Assumed  List[string]    `json:"assumed"`
}

// StoryStep is one link of a trip.
type StoryStep struct {
	Time   *float64 `json:"t_s"`
	At     string   `json:"at"`
	What   string   `json:"what"`
	Value  *float64 `json:"value"`
	Unit   Text     `json:"unit"`
	Needed *bool    `json:"needed"` // without it nothing is cut; null where that cannot be told
	Net    Text     `json:"net"`
}
