// Command evenfall turns the readings of a handheld light meter into decisions
// about the lights. Run evenfall --help for the commands.
package main

import "os"

func main() {
	a := app{stdin: os.Stdin, stdout: os.Stdout, stderr: os.Stderr, env: os.Environ()}
	os.Exit(a.run(os.Args[1:]))
}
