package cli

import (
	"maps"
	"slices"
	"strings"

	"cupel/internal/board/boardfile"
	"cupel/internal/catalog/sheetfile"
	"cupel/internal/claim/claimfile"
	"github.com/spf13/cobra"
)

// schemas are the kinds of text a dossier holds.
var schemas = map[string]func() []byte{
	"board": boardfile.Schema, "claims": claimfile.Schema, "part": sheetfile.Schema,
}

func (a *app) schemaCommand() *cobra.Command {
	names := slices.Sorted(maps.Keys(schemas))
	return &cobra.Command{
		Use: "schema " + strings.Join(names, "|"), Short: "print the JSON Schema of a text, for editors", GroupID: groupRead,
		Long:      "Print the JSON Schema of board.yaml, claims.yaml or a part sheet. Editors use it to complete and check.",
		Example:   "cupel schema board --out board.schema.json",
		Args:      most(1),
		ValidArgs: names,
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 || schemas[args[0]] == nil {
				return wrong("", "name a text: %s", strings.Join(names, ", "))
			}
			return a.deliver(schemas[args[0]]())
		},
	}
}
