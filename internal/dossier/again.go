package dossier

import (
	"bytes"
	"maps"
	"path"

	"cupel/internal/board/boardfile"
	"cupel/internal/board/photo/photofile"
	"cupel/internal/claim/claimfile"
	"cupel/internal/ringout"
)

// Again is OfTexts for texts that differ little from those of d: what is read of
// texts that are the same is taken from d, and of a log that goes on only what is
// new is read. d may be nil. Neither of the two may be changed afterwards.
func Again(d *Dossier, texts map[string][]byte) *Dossier {
	if d == nil || d.read == nil || !d.sameBoard(texts) {
		return OfTexts(texts)
	}
	now := &Dossier{Texts: maps.Clone(texts), Sheets: d.Sheets, Board: d.Board, read: maps.Clone(d.read)}
	if d.same(texts, claimfile.Name) {
		now.Claims = d.Claims
	} else {
		now.findings(claims, now.readClaims)
	}
	switch log := texts[ringout.LogName]; {
	case d.same(texts, ringout.LogName) && d.same(texts, ringout.PadsName):
		now.Log, now.Pads = d.Log, d.Pads
	case d.same(texts, ringout.PadsName) && len(d.read[ringouts]) == 0 && len(log) <= MaxLog && bytes.HasPrefix(log, d.sound()):
		now.Pads = d.Pads
		now.Log, now.read[ringouts] = d.Log.ReadOn(ringout.LogName, log)
	default:
		now.findings(ringouts, now.readRingout)
	}
	if d.same(texts, photofile.Name) {
		now.Photos = d.Photos
	} else {
		now.findings(photos, now.readPhotos)
	}
	now.sum()
	return now
}

// same reports whether a text is that of d.
func (d *Dossier) same(texts map[string][]byte, name string) bool {
	old, was := d.Texts[name]
	text, is := texts[name]
	return was == is && bytes.Equal(old, text)
}

// sameBoard reports whether the board and the part sheets are those of d.
func (d *Dossier) sameBoard(texts map[string][]byte) bool {
	for _, all := range []map[string][]byte{d.Texts, texts} {
		for name := range all {
			if path.Dir(name) == Parts && !d.same(texts, name) {
				return false
			}
		}
	}
	return d.same(texts, boardfile.Name)
}

// sound is the part of the log that was read.
func (d *Dossier) sound() []byte { return d.Texts[ringout.LogName][:d.Log.Sound] }
