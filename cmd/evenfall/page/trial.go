package page

import (
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"evenfall/cmd/evenfall/demo"
	"evenfall/cmd/evenfall/outfile"
)

// trialFolder begins the names of surveys with invented readings. They are in a folder of
// the system's for what is temporary, which ends with the program: nothing of a trial is
// written into the folder that is served.
const trialFolder = "invented"

// trialPlace begins the name of the folder that trialFolder is in.
const trialPlace = "evenfall-invented-"

// sweepTrials removes what a program left that was killed, a day after its last entry.
func sweepTrials() {
	left, _ := filepath.Glob(filepath.Join(os.TempDir(), trialPlace+"*"))
	for _, dir := range left {
		if info, err := os.Stat(filepath.Join(dir, trialFolder)); err == nil && time.Since(info.ModTime()) > 24*time.Hour {
			os.RemoveAll(dir)
		}
	}
}

// errTrial refuses what would write into the folder.
var errTrial = problem{409, "trial", "These readings are invented: lamps are trimmed, and a survey is read again, with readings of your own."}

// trial is the store of invented readings, made when somebody asks for the first.
type trial struct {
	sync.Mutex
	*store
}

// newTrial begins a survey with invented readings.
func (s *server) newTrial(w http.ResponseWriter, _ *http.Request) error {
	s.trial.Lock()
	defer s.trial.Unlock()
	if s.trial.store == nil {
		sweepTrials()
		dir, err := os.MkdirTemp("", trialPlace)
		if err != nil {
			return fileProblem("a folder for what is temporary", err)
		}
		root, err := os.OpenRoot(dir)
		if err != nil {
			return errors.Join(err, os.RemoveAll(dir))
		}
		s.trial.store = newStore(root)
	}
	content, err := invented(s.trial.store)
	if err != nil {
		return err
	}
	name, err := s.trial.begin(outfile.Bytes(content), tooManyNames, numberedNames(trialFolder+"/cloth", ".csv", 1)...)
	if err != nil {
		return err
	}
	l, err := s.trial.open(name)
	if err != nil {
		return err
	}
	l.mu.Lock()
	l.notify("These readings are invented. Type, change and undo as you like: nothing of it is written into your folder.")
	l.mu.Unlock()
	return answerBegun(w, name, nil)
}

// invented is the demo's cloth, whose last places are still to be read.
func invented(st *store) ([]byte, error) {
	content, err := demo.Table("cloth.csv")
	if err != nil {
		return nil, err
	}
	now := st.now().In(st.zone)
	evening := time.Date(now.Year(), now.Month(), now.Day(), 23, 59, 59, 0, st.zone) // all of the walk is on one day
	b, err := newEditor("cloth.csv", content, evening, st.zone)
	if err != nil {
		return nil, err
	}
	for _, p := range b.places[len(b.places)-4:] {
		for _, r := range b.cells[keyOf(p.label, "")] {
			b.fill(r, Reading{}, 0, false)
			b.set(r, "time", "")
		}
	}
	// The walk ends now: at another hour the next reading would be half a day from its
	// reference, which says nothing of the light then.
	late := now.UnixMilli() - last(b.rows).time()
	for _, r := range b.rows {
		if b.get(r, "time") != "" {
			b.set(r, "time", b.form.Clock.Format(r.time()+late, b.zone))
		}
	}
	return b.text.bytes(), nil
}

// storeOf is the store that a survey's name is of.
func (s *server) storeOf(name string) *store {
	if !strings.HasPrefix(name, trialFolder+"/") {
		return s.store
	}
	s.trial.Lock()
	defer s.trial.Unlock()
	return s.trial.store
}

// end removes what was tried.
func (t *trial) end() {
	t.Lock()
	defer t.Unlock()
	if t.store != nil {
		dir := t.root.Name()
		t.root.Close()
		os.RemoveAll(dir)
	}
}
