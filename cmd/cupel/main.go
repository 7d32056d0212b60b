// Command cupel tells what a lithium protection board really does.
package main

import (
	"os"

	"cupel/internal/cli"
)

func main() {
	defer cli.Caught()
	os.Exit(cli.Main(os.Args[1:], cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}))
}
