package main

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"evenfall/cmd/evenfall/outfile"
)

// mistaken is a program with a mistake, which panics while it writes a file.
func mistaken() {
	execute(func(a *app, args []string) int {
		a.run([]string{"--version"}) // so that it can say that it was interrupted
		outfile.Write(args[0], func(w io.Writer) error {
			io.WriteString(w, "half")
			panic("lamps upside down")
		})
		return exitDone
	})
}

// A mistake in the program shows as one, with its stack, not as an interruption, and
// leaves nothing half written.
func TestPanicIsNoInterruption(t *testing.T) {
	t.Parallel()
	for range 5 { // what would tell of an interruption runs beside the panic
		folder := t.TempDir()
		command := exec.Command("evenfall-mistaken", filepath.Join(folder, "report.html"))
		output, _ := command.CombinedOutput()
		said := string(output)
		if !strings.Contains(said, "panic: lamps upside down") || !strings.Contains(said, ".mistaken(") || strings.Contains(said, "interrupted") {
			t.Errorf("a panic says %q", said)
		}
		if status := command.ProcessState.ExitCode(); status != exitNothing {
			t.Errorf("a panic ends with %d, expected %d", status, exitNothing)
		}
		left, err := os.ReadDir(folder)
		if err != nil || len(left) > 0 {
			t.Errorf("a panic left %v %v", left, err)
		}
	}
}
