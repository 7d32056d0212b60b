package cli

import (
	"math"
	"strings"

	"github.com/spf13/cobra"
)

// The groups of the empty-handed help, in the order of the work.
const (
	groupStart   = "start"
	groupRead    = "read"
	groupPredict = "predict"
	groupPublish = "publish"
	groupMore    = "more"

	groupUnderstand = "understand"
	groupOpen       = "open"
	groupRingout    = "ringout"
)

var groups = []*cobra.Group{
	{ID: groupStart, Title: "Start"},
	{ID: groupRead, Title: "Read"},
	{ID: groupRingout, Title: "Ring out"},
	{ID: groupPredict, Title: "Predict"},
	{ID: groupUnderstand, Title: "Understand"},
	{ID: groupPublish, Title: "Publish"},
	{ID: groupOpen, Title: "Open"},
	{ID: groupMore, Title: "More"},
}

// helpText is the help of every command. The example stands last, where the
// eye rests on a terminal.
const helpText = `{{with (or .Long .Short)}}{{. | trimTrailingWhitespaces}}
{{end}}{{if .HasAvailableSubCommands}}{{$cmds := .Commands}}{{range $g := .Groups}}
{{$g.Title}}
{{range $cmds}}{{if (and (eq .GroupID $g.ID) .IsAvailableCommand)}}  {{rpad .Name 12}}{{.Short}}
{{end}}{{end}}{{end}}{{if not .Groups}}
{{range $cmds}}{{if .IsAvailableCommand}}  {{rpad .Name 12}}{{.Short}}
{{end}}{{end}}{{end}}{{end}}{{if .Runnable}}{{if .HasParent}}
Form: {{.UseLine}}
{{end}}{{end}}{{if .HasAvailableLocalFlags}}{{if .HasParent}}
{{.LocalFlags.FlagUsages | trimTrailingWhitespaces}}
{{end}}{{end}}{{if .HasAvailableInheritedFlags}}
Everywhere
{{.InheritedFlags.FlagUsages | trimTrailingWhitespaces}}
{{end}}{{if .HasParent}}{{if .HasExample}}
Example: {{.Example}}
{{end}}{{else}}
More on each: cupel COMMAND --help
try: {{.Example}}
{{end}}`

// dress gives the commands our help and turns their mistakes into status 2.
func dress(root *cobra.Command) {
	root.SetHelpTemplate(helpText)
	root.SetUsageTemplate(helpText)
	root.SetHelpCommand(helpCommand())
	root.CompletionOptions.DisableDefaultCmd = true
	walk(root, func(c *cobra.Command) {
		c.DisableFlagsInUseLine = true
		c.InitDefaultHelpFlag()
		c.Flags().Lookup("help").Usage = "this text"
		if check := c.Args; check != nil {
			c.Args = func(c *cobra.Command, args []string) error {
				if err := check(c, args); err != nil {
					return usage(c, err)
				}
				return nil
			}
		}
	})
}

// helpCommand is "cupel help COMMAND", as many try first.
func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use: "help [COMMAND]", Short: "say more of a command", GroupID: groupMore,
		Example: "cupel help predict",
		RunE: func(c *cobra.Command, args []string) error {
			about, rest, err := c.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return unknownCommand(c.Root(), strings.Join(args, " "))
			}
			about.InitDefaultHelpFlag()
			return about.Help()
		},
	}
}

func walk(c *cobra.Command, visit func(*cobra.Command)) {
	visit(c)
	for _, sub := range c.Commands() {
		walk(sub, visit)
	}
}

// most is the check that a command has no more than n arguments.
func most(n int) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) <= n {
			return nil
		}
		return wrong("", "%s takes no %q: form: %s", c.Name(), strings.Join(args[n:], " "), c.Use)
	}
}

// between is the check that a command has from least to most arguments.
func between(least, n int) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) < least {
			return wrong("", "form: %s", c.UseLine())
		}
		return most(n)(c, args)
	}
}

// exactly is the check that a command has n arguments.
func exactly(n int) cobra.PositionalArgs { return between(n, n) }

// atLeast is the check that a command has n arguments or more.
func atLeast(n int) cobra.PositionalArgs { return between(n, math.MaxInt) }
