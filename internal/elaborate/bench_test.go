package elaborate

import (
	"testing"

	"cupel/internal/board/boardfile"
	"cupel/internal/catalog/generic"
	"cupel/internal/finding"
)

func BenchmarkElaborate(b *testing.B) {
	for _, name := range []string{"chain-5s.yaml", "stack-3s.yaml"} {
		b.Run(name, func(b *testing.B) {
			var list finding.List
			board := boardfile.Read(name, []byte(loadFile(b, name)), generic.Sheets{}, &list)
			b.ResetTimer()
			for range b.N {
				Elaborate(board, generic.Sheet, Options{})
			}
		})
	}
}
