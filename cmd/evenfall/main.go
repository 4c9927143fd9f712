// Command evenfall turns the readings of a handheld light meter into decisions
// about the lights. Run evenfall --help for the commands.
package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"regexp"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"evenfall/cmd/evenfall/outfile"
)

// headroom is never written and so takes no memory: the collector counts it as held, and
// runs some 10 MB later than it would for a small set.
var headroom []byte

// collectEarly keeps the program small: readings lie in a few large columns without
// pointers, which cost the collector next to nothing to keep. It first runs at some
// 16 MB, which most commands never reach, and from then on early.
func collectEarly() {
	debug.SetGCPercent(400)
	runtime.AddCleanup(new(*int), func(int) {
		headroom = make([]byte, 32<<20)
		debug.SetGCPercent(30)
	}, 0)
}

func main() { execute((*app).run) }

// execute runs the command line of this process and ends it with the status of that. A
// panic ends it as Go does: with what it says, its stack, and status 2, nothing done.
func execute(run func(*app, []string) int) {
	collectEarly()
	in, out, errs, end := consoles(os.Stdin, os.Stdout, os.Stderr)
	// It is never stopped: a panic would cancel it, and look like an interruption.
	told, _ := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	a := app{stdin: in, stdout: out, stderr: errs, env: os.Environ(), called: sync.OnceValue(called), until: told}
	go a.endWhenTold()
	status := run(&a, os.Args[1:])
	end()
	os.Exit(status)
}

// grace is how long a command may take that ends by itself: the page lets its devices
// go, and a plan gives the best that it has found.
const grace = 800 * time.Millisecond

// endsItself is whether the command heeds what it is told.
var endsItself atomic.Bool

// endWhenTold ends the program within a second of being told to, whatever it does, and
// leaves nothing half written behind.
func (a *app) endWhenTold() {
	<-a.until.Done()
	if endsItself.Load() {
		time.Sleep(grace)
	}
	outfile.Abandon()
	a.tellInterrupted()
	os.Exit(exitNothing)
}

// tellInterrupted is no note: the command may not have begun, which says how those are
// called.
func (a *app) tellInterrupted() { fmt.Fprintln(a.stderr, "evenfall: interrupted") }

// called is how this program is called where it was called: by its name on the path, as
// it was typed, or “go run” where that built it.
func called() string {
	path, err := os.Executable()
	if err != nil {
		return "evenfall"
	}
	if found, err := exec.LookPath("evenfall"); err == nil {
		if found, err = filepath.EvalSymlinks(found); err == nil && found == path {
			return "evenfall"
		}
	}
	if goRun.MatchString(path) {
		return "go run ./cmd/evenfall"
	}
	return os.Args[0]
}

// goRun is where go run puts a program: in a folder for its work, or from the second time
// on in its cache, under a SHA-256.
var goRun = regexp.MustCompile(`[/\\](go-build[0-9]*[/\\]|[0-9a-f]{64}-d[/\\][^/\\]+$)`)
