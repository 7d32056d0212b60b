package answer

// RingoutNext answers what to probe next.
type RingoutNext struct {
	Head
	Ask   string       `json:"ask"` // pair, sweep, bridge; none when nothing is left
	A     Text         `json:"a"`
	B     Text         `json:"b"`    // the one pad of a pair
	Pads  List[string] `json:"pads"` // all pads b
	Stage Text         `json:"stage"`
	// Because says why it is asked; Chance how probably it is thought to beep.
	Because     Text     `json:"because"`
	Chance      *float64 `json:"chance"`
	WouldSettle *int     `json:"would_settle"`
	// Nets are those that the pads are on as far as is known, a's first.
	Nets List[RungNet] `json:"nets"`
	// Contradiction comes before any other question.
	Contradiction *Contradiction `json:"contradiction"`
	Entries       int            `json:"entries"`
	Touches       int            `json:"touches"`
}

// RungNet is a net as the readings say.
type RungNet struct {
	Net     string       `json:"net"`
	Pads    List[string] `json:"pads"`
	Grade   string       `json:"grade"`
	Because List[int]    `json:"because"` // numbers of entries
	Untried int          `json:"untried"` // nets that no reading holds it apart from
}

// RingoutStatus answers what is known and how well.
type RingoutStatus struct {
	Head
	Pads           int                     `json:"pads"`
	Nets           List[RungNet]           `json:"nets"`
	Apart          ApartPairs              `json:"apart"`
	Contradictions List[Contradiction]     `json:"contradictions"`
	Entries        int                     `json:"entries"` // that still stand
	Undone         int                     `json:"undone"`
	Touches        int                     `json:"touches"`
	Risk           RingoutRisk             `json:"risk"`
	Suspects       List[Suspect]           `json:"suspects"`
	Differences    List[SliceDifference]   `json:"differences"`
	ByHand         List[NetlistDifference] `json:"by_hand"` // where the readings differ from the nets of board.yaml
	Bounds         List[ResistanceAtLeast] `json:"bounds"`
	Last           List[RingoutEntry]      `json:"last"` // the last entries, the newest last
	Housing        RingoutHousing          `json:"housing"`
	Findings       List[Finding]           `json:"findings"`
}

// ApartPairs counts pairs of pads by how they are known.
type ApartPairs struct {
	Pairs        int `json:"pairs"`
	Proven       int `json:"proven"`
	Implied      int `json:"implied"`
	Assumed      int `json:"assumed"`
	Open         int `json:"open"`
	Contradicted int `json:"contradicted"`
	NetPairs     int `json:"net_pairs"`
	Untried      int `json:"untried_net_pairs"`
}

// Contradiction is readings that cannot all be right.
type Contradiction struct {
	Readings List[int]    `json:"readings"`
	Repeat   List[int]    `json:"repeat"`
	Pads     List[string] `json:"pads"`
	Text     string       `json:"text"`
}

// RingoutRisk is what is still in doubt.
type RingoutRisk struct {
	Words List[string] `json:"words"`
	// Reprobes random re-probes without an error would bound the share of wrong
	// pairs by RateBound, with that confidence.
	Reprobes   int           `json:"reprobes"`
	RateBound  *float64      `json:"rate_bound"`
	Confidence *float64      `json:"confidence"`
	Plan       List[PadPair] `json:"plan"`
	// Reprobed readings were of pairs of which the answer was known, Differed of them
	// gave another: RateReached bounds the share of wrong pairs that they leave
	// possible; null while there are none.
	Reprobed    int      `json:"reprobed"`
	Differed    int      `json:"differed"`
	RateReached *float64 `json:"rate_reached"`
}

// PadPair is two pads.
type PadPair struct {
	A string `json:"a"`
	B string `json:"b"`
}

// Suspect is a pair of nets, by their nearest pads, that nobody held apart.
type Suspect struct {
	A        string   `json:"a"`
	B        string   `json:"b"`
	Distance *float64 `json:"distance_mm"`
}

// NetlistDifference is a pin or pad that the readings put on another net than
// board.yaml does.
type NetlistDifference struct {
	At       string    `json:"at"`
	ByHand   Text      `json:"by_hand"`
	Readings Text      `json:"readings"`
	Because  List[int] `json:"because"`
}

// ResistanceAtLeast is what a reading in circuit says of the parts between two
// pads.
type ResistanceAtLeast struct {
	A       string   `json:"a"`
	B       string   `json:"b"`
	AtLeast *float64 `json:"at_least_Ohm"`
	Entry   int      `json:"entry"`
}

// RingoutHousing says where the pads come from.
type RingoutHousing struct {
	Parts     int          `json:"parts"`
	Guessed   List[string] `json:"guessed"` // parts without a package: one pad a pin
	Positions int          `json:"positions"`
}

// RingoutEntry is one entry of the log.
type RingoutEntry struct {
	Number    int          `json:"number"`
	Entry     string       `json:"entry"`
	A         Text         `json:"a"`
	B         List[string] `json:"b"`
	Result    Text         `json:"result"`
	Value     *float64     `json:"value"`
	Unit      Text         `json:"unit"`
	Red       Text         `json:"red"`
	InCircuit bool         `json:"in_circuit"`
	Undoes    *int         `json:"undoes"`
	By        Text         `json:"by"`
	Note      Text         `json:"note"`
	Undone    bool         `json:"undone"`
}

// RingoutAdd answers what entries changed.
type RingoutAdd struct {
	Head
	Entries        List[RingoutEntry]  `json:"entries"`
	Pads           int                 `json:"pads"`
	Nets           int                 `json:"nets"`
	Settled        int                 `json:"settled"` // nets that became one with another by it
	Contradictions List[Contradiction] `json:"contradictions"`
	Findings       List[Finding]       `json:"findings"`
}

// RingoutApply answers what the readings changed in board.yaml.
type RingoutApply struct {
	Head
	Changed     bool                    `json:"changed"`
	Nets        List[RungNet]           `json:"nets"`
	Differences List[NetlistDifference] `json:"differences"`
	Findings    List[Finding]           `json:"findings"`
}

// RingoutRehearse answers what a whole ring-out of a known board would take.
type RingoutRehearse struct {
	Head
	Pads                  int           `json:"pads"`
	Touches               int           `json:"touches"`
	TouchesPerPad         *float64      `json:"touches_per_pad"`
	ClosingTouches        int           `json:"closing_touches"`
	ClosingTouchesBridged int           `json:"closing_touches_bridged"`
	Time                  int           `json:"time_s"` // of the touches, the closing apart
	NaivePairs            int           `json:"naive_pairs"`
	Representative        int           `json:"representative_baseline"`
	WrongNets             List[string]  `json:"wrong_nets"`
	Flagged               List[string]  `json:"flagged"`
	Seed                  uint64        `json:"seed"`
	ErrorRate             *float64      `json:"error_rate"`
	Floor                 int           `json:"floor"` // pads − nets
	Nets                  int           `json:"nets"`
	Questions             int           `json:"questions"`
	Errors                MeterErrors   `json:"errors"`
	Findings              List[Finding] `json:"findings"`
}

// MeterErrors counts the readings that a rehearsal's meter got wrong.
type MeterErrors struct {
	FalseBeep  int `json:"connected_for_open"`
	MissedBeep int `json:"open_for_connected"`
	LowValue   int `json:"low_value_for_copper"`
}
