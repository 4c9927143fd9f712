package main

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"evenfall/cmd/evenfall/browsertest"
)

var update = flag.Bool("update", false, "rewrite golden files")

func TestMain(m *testing.M) {
	testscript.Main(browsertest.Shared{M: m}, map[string]func(){"evenfall": main, "evenfall-mistaken": mistaken})
}

// TestScripts runs the program as people do: every screen, every exit status
// and every kind of bad input stands in testdata/script.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("COLUMNS", "80")
			env.Setenv("LANG", "C.UTF-8")
			env.Setenv("NO_COLOR", "1")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "unreadable": unreadable, "demo": demoSet},
	})
}

// demoSet makes a folder of what the demo leaves: demo FOLDER.
func demoSet(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: demo FOLDER")
	}
	ts.Check(os.CopyFS(ts.MkAbs(args[0]), ranDemo()))
}

// exits runs a program that must end with a status: exits 2 evenfall surface.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS PROGRAM ARG…")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		got = exit.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// unreadable makes a file that nobody may read; where the system lets this
// user read everything all the same, it skips the script.
func unreadable(ts *testscript.TestScript, neg bool, args []string) {
	path := ts.MkAbs(args[0])
	ts.Check(os.WriteFile(path, []byte("x"), 0o000))
	if file, err := os.Open(path); err == nil {
		file.Close()
		fmt.Fprintln(ts.Stdout(), "skipped: this user reads every file")
		ts.Check(os.Remove(path))
	}
}
