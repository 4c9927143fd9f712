// Command evenfall turns the readings of a handheld light meter into decisions
// about the lights. Run evenfall --help for the commands.
package main

import (
	"os"
	"runtime/debug"
)

func main() {
	// Readings lie in a few large columns without pointers, which cost the
	// collector next to nothing to keep: collect early and stay small.
	debug.SetGCPercent(30)
	a := app{stdin: os.Stdin, stdout: os.Stdout, stderr: os.Stderr, env: os.Environ()}
	os.Exit(a.run(os.Args[1:]))
}
