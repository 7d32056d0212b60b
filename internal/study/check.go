package study

import (
	"cupel/internal/answer"
	"cupel/internal/dossier"
)

// Check says what is wrong with a dossier, or worth knowing of it: its texts,
// its structure, and whether a circuit can be made of it. Its error is
// *finding.Errors if the texts themselves are wrong: then nothing else can be
// said.
func Check(d *dossier.Dossier) (answer.Check, error) {
	if err := d.Findings.Err(); err != nil {
		return answer.Check{}, err
	}
	l, _ := sound(d) // errors in the structure are the answer
	return answer.Check{Head: answer.NewHead("check", d.Board.Name, d.Hash), Findings: Findings(l)}, nil
}
