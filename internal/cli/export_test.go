package cli

import "flag"

var updateDocs = flag.Bool("update", false, "rewrite docs/cli.md")
