package cli

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"cupel/internal/board/boardfile"
	"cupel/internal/catalog/generic"
	"cupel/internal/catalog/sheetfile"
	"cupel/internal/claim/claimfile"
	"cupel/internal/finding"
	"cupel/internal/report"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

// schemas are the kinds of text a dossier holds.
var schemas = map[string]func() []byte{
	"board": boardfile.Schema, "claims": claimfile.Schema, "part": sheetfile.Schema,
}

func (a *app) schemaCommand() *cobra.Command {
	var list bool
	var sheet string
	names := slices.Sorted(maps.Keys(schemas))
	c := &cobra.Command{
		Use: "schema " + strings.Join(names, "|") + " [--list] [--sheet NAME]", Short: "print the JSON Schema of a text, for editors", GroupID: groupRead,
		Long: `Print the JSON Schema of board.yaml, claims.yaml or a part sheet. Editors use it to complete and check.
"schema part --list" lists the part sheets that come with cupel and their pins; "schema part --sheet NAME"
prints the text of one, to look up a figure or to begin parts/NAME.yaml from it.`,
		Example:   "cupel schema board --out board.schema.json",
		Args:      most(1),
		ValidArgs: names,
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 || schemas[args[0]] == nil {
				return wrong("", "name a text: %s", strings.Join(names, ", "))
			}
			if (list || sheet != "") && args[0] != "part" {
				return wrong("cupel schema part --list", "only part sheets come with cupel")
			}
			switch {
			case list:
				ans := study.Sheets()
				return a.print(ans, func() string { return report.Sheets(ans) })
			case sheet != "":
				return a.sheet(sheet)
			}
			return a.deliver(schemas[args[0]]())
		},
	}
	c.Flags().BoolVar(&list, "list", false, "list the part sheets that come with cupel")
	c.Flags().StringVar(&sheet, "sheet", "", "print the text of the part sheet `NAME`")
	_ = c.RegisterFlagCompletionFunc("sheet", cobra.FixedCompletions(generic.Names(), cobra.ShellCompDirectiveNoFileComp))
	return c
}

// sheet prints the text of a part sheet that comes with cupel.
func (a *app) sheet(name string) error {
	text, ok := generic.Text(name)
	if ok {
		return a.deliver(text)
	}
	do := "cupel schema part --list"
	if near := finding.Nearest(name, generic.Names()); near != "" {
		do = fmt.Sprintf("did you mean %q?", near)
	}
	return wrong(do, "no part sheet %q comes with cupel", name)
}
