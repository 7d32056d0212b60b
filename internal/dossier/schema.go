package dossier

import (
	"cupel/internal/board/boardfile"
	"cupel/internal/catalog/sheetfile"
	"cupel/internal/claim/claimfile"
)

// Schemas lists the texts that have a JSON Schema, by the words users call them.
func Schemas() []string { return []string{"board", "claims", "part"} }

// Schema returns the JSON Schema of one of [Schemas].
func Schema(name string) ([]byte, bool) {
	switch name {
	case "board":
		return boardfile.Schema(), true
	case "claims":
		return claimfile.Schema(), true
	case "part":
		return sheetfile.Schema(), true
	}
	return nil, false
}
