//go:build unix

package main

import (
	"bytes"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// started begins a command in a folder; what it says goes to output.
func started(t *testing.T, folder string, stdin io.Reader, args ...string) (command *exec.Cmd, output *bytes.Buffer) {
	t.Helper()
	output = &bytes.Buffer{}
	command = exec.Command("evenfall", args...)
	command.Dir, command.Stdin, command.Stdout, command.Stderr = folder, stdin, output, output
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	return command, output
}

// temporaries are the files that a writer left behind.
func temporaries(folder string) (names []string) {
	filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if strings.HasSuffix(path, ".part") {
			names = append(names, path)
		}
		return nil
	})
	return names
}

// signaled is how a command ended that was sent a signal while it ran, and what it said.
// One that a busy machine had not let begin is given more time.
func signaled(t *testing.T, folder, line string, sent os.Signal) (*os.ProcessState, string) {
	for wait := 150 * time.Millisecond; ; wait *= 2 {
		silent, write, err := os.Pipe() // standard input that never ends
		if err != nil {
			t.Fatal(err)
		}
		command, output := started(t, folder, silent, strings.Fields(line)...)
		time.Sleep(wait)
		command.Process.Signal(sent)
		ended := make(chan error, 1)
		go func() { ended <- command.Wait() }()
		select {
		case <-ended:
		case <-time.After(time.Minute): // it hangs
			command.Process.Kill()
			<-ended
			t.Errorf("%s: did not end after %v", line, sent)
		}
		silent.Close()
		write.Close()
		if command.ProcessState.Exited() || wait > 4*time.Second {
			return command.ProcessState, output.String()
		}
	}
}

// Each command ends by itself where it is told to, with nothing half written, also where
// it waits for something that never comes: then it says that it was interrupted.
func TestSignalsEndEveryCommand(t *testing.T) {
	t.Parallel()
	set := demoFolder(t)
	if err := syscall.Mkfifo(filepath.Join(set, "pipe"), 0o600); err != nil {
		t.Skip("no pipes here: ", err)
	}
	for i, line := range []string{
		"demo", "surface -", "surface pipe", "surface cloth.csv pipe", "distance pipe", "meter -", "ratio -", "match cloth.csv -", "correct -", "balance -", "dimmer -", "screen .", "convert 1250lx",
		"plan pipe --size 3x2", "plan lamps-free.csv --size 4.8x2.4 --level 900lx --starts 1000", "report", "report --verify pipe", "page --listen 127.0.0.1:0",
	} {
		sent := []os.Signal{os.Interrupt, syscall.SIGTERM}[i%2]
		state, said := signaled(t, set, line, sent)
		waits := strings.Contains(line, "pipe") || strings.HasSuffix(line, " -")
		switch status := state.ExitCode(); {
		case !state.Exited():
			t.Errorf("%s: %v by %v, expected it to end by itself: %s", line, state, sent, said)
		case waits && status != exitNothing, status == exitNothing && !strings.Contains(said, "interrupted"), status > exitNothing:
			t.Errorf("%s: status %d after %v, expected its own or that it was interrupted: %s", line, status, sent, said)
		}
		if left := temporaries(set); len(left) > 0 {
			t.Errorf("%s left %v after %v", line, left, sent)
		}
	}
	if output, err := exec.Command("evenfall", "demo", filepath.Join(set, "evenfall-demo"), "--json").CombinedOutput(); err != nil {
		t.Errorf("an interrupted demo cannot be run again: %v %s", err, output)
	}
}

// A command that is killed leaves at most one temporary file, which the next one that
// writes there sweeps once nobody can be writing it, and whole files.
func TestKilledLeavesOneTemporary(t *testing.T) {
	t.Parallel()
	set := t.TempDir()
	before := map[string]bool{} // left by an earlier one, in a folder that this one may not have come to
	for wait := 20 * time.Millisecond; wait < 400*time.Millisecond; wait += 60 * time.Millisecond {
		command, _ := started(t, set, nil, "demo", "play")
		time.Sleep(wait)
		command.Process.Kill()
		command.Wait()
		left := slices.DeleteFunc(temporaries(set), func(name string) bool { return before[name] })
		if len(left) > 1 {
			t.Errorf("killed after %v: left %v", wait, left)
		}
		for _, name := range left {
			before[name] = true
			old := time.Now().Add(-2 * time.Hour)
			os.Chtimes(name, old, old)
		}
	}
	if output, err := exec.Command("evenfall", "demo", filepath.Join(set, "play")).CombinedOutput(); err != nil {
		t.Errorf("a killed demo cannot be run again: %v %s", err, output)
	}
	if left := temporaries(set); len(left) > 0 {
		t.Errorf("the next one left %v", left)
	}
}
