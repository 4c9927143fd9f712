package page

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"slices"
	"sync"
	"time"

	"evenfall/cmd/evenfall/infile"
	"evenfall/cmd/evenfall/outfile"
)

// store is the surveys of one folder. A survey is written by one at a time, and
// whole; what is acknowledged is on the disk.
type store struct {
	root *os.Root
	zone *time.Location
	now  func() time.Time
	// fault is what the disk says to a write, for tests; nil asks the disk alone.
	fault func() error

	mu      sync.Mutex
	surveys map[string]*live
	reports reports
}

func newStore(root *os.Root) *store {
	return &store{root: root, zone: time.Local, now: time.Now, surveys: map[string]*live{}}
}

// files is what the page reads of its folder.
func (st *store) files() infile.Folder { return infile.Folder{Root: st.root} }

// live is one survey as the page knows it.
type live struct {
	store *store
	name  string

	mu       sync.Mutex
	content  []byte // of the file, as last read or written
	modified time.Time
	missing  bool // somebody removed the file
	wrote    bool // the page has written since it read
	editor   *editor
	why      error // why there is no editor
	revision int64
	analysis *analysis
	notices  []notice
	noticed  int
	watchers int
	bell     bell      // rings with each revision
	looked   time.Time // at the file
}

// notice is something that people should know until they say they do.
type notice struct {
	ID   int    `json:"id"`
	Text string `json:"text"`
}

const largestFile = 2 << 20

// open is the survey of a file of the folder.
func (st *store) open(name string) (*live, error) {
	if checkSurvey(name) != nil {
		return nil, errNoSurvey
	}
	st.mu.Lock()
	l := st.surveys[name]
	if l == nil {
		l = &live{store: st, name: name}
	}
	st.mu.Unlock()
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.revision > 0 {
		return l, l.look()
	}
	content, modified, err := st.read(name)
	if err != nil {
		return nil, err
	}
	if !st.spelled(name) {
		return nil, errNoSurvey
	}
	st.mu.Lock()
	defer st.mu.Unlock()
	if other := st.surveys[name]; other != nil {
		return other, nil
	}
	st.surveys[name] = l
	l.take(content, modified)
	return l, nil
}

var errNoSurvey = problem{404, "no_survey", "There is no survey of that name in the folder."}

// spelled reports whether a file has exactly that name, where the system takes
// others for it too: one file must not be two surveys.
func (st *store) spelled(name string) bool {
	entries, err := fs.ReadDir(st.root.FS(), path.Dir(name))
	return err == nil && slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return e.Name() == path.Base(name) })
}

// read reads a whole file of the folder. Links, folders and what is not a plain file
// are refused, so that nothing outside the folder is ever touched.
func (st *store) read(name string) (content []byte, modified time.Time, err error) {
	var info fs.FileInfo
	file, err := st.files().Open(name)
	if err == nil {
		defer file.Close()
		info, err = file.Stat()
	}
	if err == nil && info.IsDir() {
		err = infile.KindError(infile.Kind(info.Mode()))
	}
	if err == nil {
		content, err = io.ReadAll(io.LimitReader(file, largestFile+1))
	}
	var kind infile.KindError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, modified, errNoSurvey
	case errors.As(err, &kind):
		return nil, modified, problem{403, "no_file", name + " " + kind.Error() + " and no plain file: the page reads plain files of its folder alone."}
	case err != nil:
		return nil, modified, fileProblem(name, err)
	case len(content) > largestFile:
		return nil, modified, problem{413, "too_large", fmt.Sprintf("%s is larger than %d MB: judge it with evenfall surface.", name, largestFile>>20)}
	}
	return content, info.ModTime(), nil
}

// take makes a content the current one. The caller must hold the lock.
func (l *live) take(content []byte, modified time.Time) {
	l.content, l.modified, l.missing = content, modified, false
	l.editor, l.why = nil, errors.New("a workbook can be looked at here, and filled in with a spreadsheet program")
	if !isWorkbook(l.name) {
		l.editor, l.why = newEditor(l.name, content, modified, l.store.zone)
		l.store.lendGrid(l.editor)
	}
	l.changed()
}

// changed gives the survey a new revision and wakes who watches. Revisions
// rise with the clock, so that they go on rising when the program starts anew.
func (l *live) changed() {
	l.revision = max(l.revision+1, l.store.now().UnixMilli())
	l.analysis = &analysis{name: l.name, content: l.content}
	l.bell.ring()
}

func (l *live) notify(text string) {
	l.noticed++
	l.notices = append(l.notices, notice{l.noticed, text})
	if len(l.notices) > 20 {
		l.notices = l.notices[1:]
	}
}

// look takes in what somebody else did to the file since the page last read or
// wrote it. The caller holds the lock.
func (l *live) look() error {
	l.looked = time.Now()
	content, modified, err := l.store.read(l.name)
	if err == nil && !bytes.Equal(content, l.content) {
		content, modified, err = l.settled(content)
	}
	switch {
	case err == error(errNoSurvey) && l.missing:
		return nil
	case err == error(errNoSurvey):
		l.missing = true
		l.notify("Somebody removed " + l.name + " or gave it another name. The next entry writes it again, with all that was read.")
		l.changed()
		return nil
	case err != nil:
		return err
	case bytes.Equal(content, l.content):
		l.modified, l.missing = modified, false
		return nil
	}
	return l.foreign(content, modified)
}

// settled waits until a file that somebody is writing stays as it is, so that
// half a file is not taken for the whole.
func (l *live) settled(content []byte) ([]byte, time.Time, error) {
	for range 10 {
		time.Sleep(settleTime)
		again, modified, err := l.store.read(l.name)
		if err != nil || bytes.Equal(again, content) {
			return again, modified, err
		}
		content = again
	}
	return nil, time.Time{}, problem{503, "busy", l.name + " is being written by another program. Try again."}
}

const settleTime = 150 * time.Millisecond

// foreign handles a file that somebody else wrote: their version is kept if it can be
// read as this survey, else the page's does, and the other is kept in either case.
func (l *live) foreign(content []byte, modified time.Time) error {
	other, why := newEditor(l.name, content, modified, l.store.zone)
	if l.editor == nil || why == nil && other.like(l.editor) {
		says := "; this is the new version."
		if l.wrote || l.editor != nil && !other.includes(l.editor) {
			kept, err := l.keep("page", l.content)
			if err != nil {
				return err
			}
			says = ". Theirs counts now; the page's own version is kept as " + kept + "."
		}
		l.notify("Somebody changed " + l.name + " outside this page" + says)
		l.wrote = false
		l.take(content, modified)
		return nil
	}
	kept, err := l.keep("outside", content)
	if err != nil {
		return err
	}
	reason := "it is not this survey any more"
	if why != nil {
		reason = words(l.name, why)
	}
	l.notify("Somebody changed " + l.name + " outside this page, and it cannot be filled in so: " + reason + ". Theirs is kept as " + kept + "; the page's own version goes on.")
	if err := l.write(l.content); err != nil {
		return err
	}
	l.changed()
	return nil
}

// keptFolder contains the versions that were replaced: no command takes them for surveys.
const keptFolder = "kept"

// keep puts a version of the survey aside and names its file.
func (l *live) keep(whose string, content []byte) (string, error) {
	base, ending := keptFolder+"/"+stem(path.Base(l.name))+"-"+whose+"-"+l.store.now().In(l.store.zone).Format("150405"), path.Ext(l.name)
	return l.store.begin(outfile.Bytes(content), tooManyNames, append([]string{base + ending}, numberedNames(base, ending, 2)...)...)
}

// write puts a content on the disk and returns once it is there.
func (l *live) write(content []byte) error {
	var err error
	if l.store.fault != nil {
		err = l.store.fault()
	}
	if err == nil {
		err = outfile.WriteIn(l.store.root, l.name, outfile.Bytes(content))
	}
	if err != nil {
		return fileProblem(l.name, err)
	}
	l.content, l.missing, l.modified = content, false, l.store.now()
	if info, err := l.store.root.Lstat(l.name); err == nil {
		l.modified = info.ModTime()
	}
	return nil
}

// filling lets do look at what is filled in, which nobody changes meanwhile.
func (l *live) filling(do func(*editor) error) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.editor == nil {
		return l.notEditable()
	}
	return do(l.editor)
}

func (l *live) notEditable() error {
	return problem{409, "not_editable", l.name + " cannot be filled in here: " + words(l.name, l.why) + "."}
}

// analyzed is the analysis of the file as it is now.
func (l *live) analyzed() *analysis {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.analysis
}

// enter does entries and returns once the disk has them.
func (l *live) enter(entries []Entry, device string) ([]Outcome, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if err := l.look(); err != nil {
		return nil, err
	}
	if l.editor == nil {
		return nil, l.notEditable()
	}
	outcomes := make([]Outcome, len(entries))
	changed, done := false, false
	defer func() {
		if !done {
			// What is not on the disk is not known here either.
			l.take(l.content, l.modified)
		}
	}()
	now := l.store.now()
	for i, e := range entries {
		o, c := l.editor.apply(e, device, now)
		outcomes[i], changed = o, changed || c
		if o.agreed {
			l.notify(o.Text)
		}
	}
	l.store.lendGrid(l.editor) // an undo reads the file anew
	if !changed && !l.missing {
		done = true
		return outcomes, nil
	}
	content := l.editor.text.bytes()
	if len(content) > largestFile {
		return nil, problem{413, "too_large", l.name + " would grow beyond what the page handles."}
	}
	if err := l.write(content); err != nil {
		return nil, err
	}
	l.wrote, done = true, true
	l.changed()
	return outcomes, nil
}

// dismiss takes a notice away.
func (l *live) dismiss(id int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	before := len(l.notices)
	l.notices = slices.DeleteFunc(l.notices, func(n notice) bool { return n.ID == id })
	if len(l.notices) != before {
		l.changed()
	}
}

// includes reports whether an editor has every reading of another.
func (b *editor) includes(other *editor) bool {
	for _, r := range other.rows {
		if r.empty() {
			continue
		}
		if !slices.ContainsFunc(b.cells[keyOf(r.Label, r.Lamp)], func(x *row) bool { return x.time() == r.time() && x.Level == r.Level }) {
			return false
		}
	}
	return true
}

// like reports whether a book is of the same survey as another: it measures the same
// and has rows for at least half of the places that the other was read at.
func (b *editor) like(other *editor) bool {
	read, known := 0, 0
	for _, p := range other.places {
		if other.isRead(p.label, other.lamps[0]) {
			read++
			if len(b.cells[keyOf(p.label, other.lamps[0])]) > 0 {
				known++
			}
		}
	}
	return b.form.Quantity == other.form.Quantity && 2*known >= read
}
