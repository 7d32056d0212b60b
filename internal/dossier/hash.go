package dossier

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"

	"cupel/internal/board/photo/photofile"
)

// Hash is the SHA-256 of texts, in hexadecimal. Hashed are, for each text but
// that of the photos in the order of the names' bytes: the name, a zero byte, the length in bytes in
// decimal digits, a zero byte, the content.
func Hash(texts map[string][]byte) string {
	names := make([]string, 0, len(texts))
	for n := range texts {
		if n != photofile.Name { // where photos were touched changes no figure
			names = append(names, n)
		}
	}
	slices.Sort(names)
	h := sha256.New()
	for _, n := range names {
		fmt.Fprintf(h, "%s\x00%d\x00", n, len(texts[n]))
		h.Write(texts[n])
	}
	return hex.EncodeToString(h.Sum(nil))
}
