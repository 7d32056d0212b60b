package cli

import "github.com/spf13/cobra"

// commands lists the commands in the order of the work.
func (a *app) commands() []*cobra.Command {
	return []*cobra.Command{
		a.demoCommand(), a.newCommand(),
		a.checkCommand(), a.auditCommand(), a.markingCommand(), a.schemaCommand(),
		a.ringoutCommand(),
		a.predictCommand(), a.mergeCommand(), a.heatCommand(),
		a.explainCommand(), a.faultsCommand(), a.voltagesCommand(), a.storyCommand(), a.drawCommand(),
		a.reportCommand(), a.exportCommand(),
		a.serveCommand(),
		a.versionCommand(), a.completionCommand(),
	}
}
