package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/term"
)

// A command that takes longer than patience says that it is at work, every second.
const patience = 2 * time.Second

// working is the line that says so: it goes with the first thing that is printed or
// asked for.
type working struct {
	to    io.Writer
	once  sync.Once
	ended chan struct{}
	gone  chan struct{}
}

// startWorking begins to wait; nothing is written before patience is over, and then a
// line at each tick.
func startWorking(to io.Writer, patience, tick time.Duration) *working {
	w := &working{to: to, ended: make(chan struct{}), gone: make(chan struct{})}
	go w.show(time.Now(), patience, tick)
	return w
}

func (w *working) show(begun time.Time, patience, tick time.Duration) {
	defer close(w.gone)
	for wait, shown := patience, false; ; wait, shown = tick, true {
		select {
		case <-w.ended:
			if shown {
				fmt.Fprint(w.to, "\r\x1b[K")
			}
			return
		case <-time.After(wait):
			fmt.Fprintf(w.to, "\r\x1b[Kat work for %.0f s; Ctrl-C ends it", time.Since(begun).Seconds())
		}
	}
}

// end takes the line away and returns when it is gone.
func (w *working) end() {
	w.once.Do(func() { close(w.ended) })
	<-w.gone
}

// console is a terminal on which a line says that the program is at work.
type console struct {
	*os.File
	working *working
}

// consoles are the three files of a person at a terminal, and what ends the line; where
// nobody watches, they are what they were.
func consoles(in, out, errs *os.File) (stdin io.Reader, stdout, stderr io.Writer, end func()) {
	if !term.IsTerminal(int(errs.Fd())) {
		return in, out, errs, func() {}
	}
	w := startWorking(errs, patience, time.Second)
	return console{in, w}, console{out, w}, console{errs, w}, w.end
}

func (c console) Read(p []byte) (int, error)          { c.working.end(); return c.File.Read(p) }
func (c console) Write(p []byte) (int, error)         { c.working.end(); return c.File.Write(p) }
func (c console) WriteString(s string) (int, error)   { return c.Write([]byte(s)) }
func (c console) ReadFrom(r io.Reader) (int64, error) { c.working.end(); return c.File.ReadFrom(r) }

// terminalOf is the terminal behind a reader or writer, where there is one.
func terminalOf(file any) (fd int, ok bool) {
	if f, is := file.(interface{ Fd() uintptr }); is {
		fd = int(f.Fd())
		return fd, term.IsTerminal(fd)
	}
	return 0, false
}
