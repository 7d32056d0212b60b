package cli

import (
	"fmt"
	"runtime/debug"
	"strings"

	"cupel/internal/answer"
	"github.com/spf13/cobra"
)

func (a *app) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use: "version", Short: "say which cupel this is", GroupID: groupMore,
		Example: "cupel version --json",
		Args:    most(0),
		RunE: func(*cobra.Command, []string) error {
			v := version()
			return a.print(v, func() string { return fmt.Sprintf("cupel %s, built with Go %s\n", v.Version, v.Go) })
		},
	}
}

// version takes what the linker knows: a tag when installed by version, the
// commit when built in its tree.
func version() answer.Version {
	v := answer.Version{Head: answer.NewHead("version", "", ""), Version: "unknown", Go: "unknown"}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return v
	}
	v.Go = strings.TrimPrefix(info.GoVersion, "go")
	if info.Main.Version != "" {
		v.Version = info.Main.Version
	}
	return v
}

func (a *app) completionCommand() *cobra.Command {
	shells := map[string]func(*cobra.Command) error{
		"bash":       func(root *cobra.Command) error { return root.GenBashCompletionV2(a.Out, true) },
		"zsh":        func(root *cobra.Command) error { return root.GenZshCompletion(a.Out) },
		"fish":       func(root *cobra.Command) error { return root.GenFishCompletion(a.Out, true) },
		"powershell": func(root *cobra.Command) error { return root.GenPowerShellCompletionWithDesc(a.Out) },
	}
	names := []string{"bash", "zsh", "fish", "powershell"}
	return &cobra.Command{
		Use: "completion SHELL", Short: "print what makes a shell complete cupel's words", GroupID: groupMore,
		Long:      "Print a script that makes bash, zsh, fish or powershell complete cupel's commands and flags.",
		Example:   "cupel completion bash",
		Args:      most(1),
		ValidArgs: names,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 1 && shells[args[0]] != nil {
				return shells[args[0]](c.Root())
			}
			return wrong("", "name a shell: %s", strings.Join(names, ", "))
		},
	}
}
