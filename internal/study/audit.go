package study

import (
	"cupel/internal/answer"
	"cupel/internal/board/boardfile"
	"cupel/internal/claim/audit"
	"cupel/internal/claim/claimfile"
	"cupel/internal/dossier"
	"cupel/internal/finding"
)

// Audit holds the stated figures of a dossier against each other. It asks for
// no circuit: the dossier may have no board, and of one it takes the number of
// cells alone. Its error is *finding.Errors if the texts are wrong.
func Audit(d *dossier.Dossier) (answer.Audit, error) {
	found, texts := finding.List{}, finding.List{}
	_, claims := d.Texts[claimfile.Name]
	for _, f := range d.Findings {
		switch {
		case f.Code == dossier.NoBoard && claims:
		case f.Place.File == claimfile.Name && f.Level < finding.Error:
			found.Add(f) // what is worth knowing of the text stands among the rest
		default:
			texts.Add(f)
		}
	}
	if err := append(texts, found...).Err(); err != nil {
		return answer.Audit{}, err
	}
	found = append(found, audit.Check(d.Claims, audit.Facts{Cells: d.Board.Cells})...)
	found.FillSource(claimfile.Name, d.Texts[claimfile.Name])
	found.FillSource(boardfile.Name, d.Texts[boardfile.Name])
	found.Sort()
	return answer.Audit{Head: answer.NewHead("audit", d.Board.Name, d.Hash), Findings: Findings(found)}, nil
}
