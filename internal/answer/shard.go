package answer

// Shard answers a part of a prediction over random boards, for merging. Equal
// shards of equal dossiers are equal to the byte.
type Shard struct {
	Head
	Version      string          `json:"version"` // of the program that made it
	Samples      int             `json:"samples"` // of the whole
	Seed         int64           `json:"seed"`
	Shard        int             `json:"shard"` // counted from 1
	Of           int             `json:"of"`
	From         int             `json:"from"` // the first sample
	To           int             `json:"to"`   // one past the last
	Trials       List[string]    `json:"trials"`
	Cells        List[int]       `json:"only_cells"`
	Temperatures List[float64]   `json:"temperatures_degC"`
	Texts        List[ShardText] `json:"texts"` // of the dossier
	// Data is everything that was computed: Go's gob, compressed by gzip, in
	// base64.
	Data []byte `json:"data"`
}

// ShardText is one text of the dossier.
type ShardText struct {
	Name string `json:"name"`
	Text string `json:"text"`
}
