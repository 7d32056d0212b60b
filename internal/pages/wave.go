package pages

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"net/http"

	"cupel/internal/answer"
)

// waveHead is what stands before the points of a waveform.
type waveHead struct {
	Title  string         `json:"title"`
	Points int            `json:"points"`
	Lines  []waveLine     `json:"lines"`
	Events []answer.Event `json:"events"`
}

type waveLine struct {
	Name string `json:"name"`
	Unit string `json:"unit"`
}

// waveFile hands out the points of a waveform: the length of a head of JSON as a
// 32-bit number, the head, filled up to eight bytes, then the times and each
// line's values as 64-bit numbers, lowest byte first.
func waveFile(v *visit) error {
	waves := v.predict().Waveforms
	i := atoi(v.field("n"))
	if i < 0 || i >= len(waves) {
		return &sorry{http.StatusNotFound, v.T("limits.nowave")}
	}
	text, err := encodeWave(waves[i])
	if err != nil {
		return err
	}
	v.w.Header().Set("Content-Type", "application/octet-stream")
	_, err = v.w.Write(text)
	return err
}

func encodeWave(w answer.Waveform) ([]byte, error) {
	head := waveHead{Title: string(w.Title), Points: len(w.Times), Events: w.Events}
	for _, l := range w.Lines {
		head.Lines = append(head.Lines, waveLine{l.Name, string(l.Unit)})
	}
	text, err := json.Marshal(head)
	if err != nil {
		return nil, err
	}
	for (4+len(text))%8 != 0 {
		text = append(text, ' ')
	}
	var b bytes.Buffer
	b.Grow(4 + len(text) + 8*len(w.Times)*(1+len(w.Values)))
	// A buffer takes everything.
	_ = binary.Write(&b, binary.LittleEndian, uint32(len(text)))
	b.Write(text)
	_ = binary.Write(&b, binary.LittleEndian, []float64(w.Times))
	for _, line := range w.Values {
		_ = binary.Write(&b, binary.LittleEndian, []float64(line))
	}
	return b.Bytes(), nil
}
