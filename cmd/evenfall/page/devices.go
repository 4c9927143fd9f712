package page

import (
	"cmp"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"net/http"
	"os"
	"slices"
	"strings"
	"sync"
	"time"

	"evenfall/cmd/evenfall/outfile"
	"evenfall/photometry"
)

// devices are those that use the page. Each has a cookie of its own, of which only the
// hash is known here. Where the page is shared they were let in, and a file outside the
// folder lists them, so that a program that starts anew knows them.
type devices struct {
	cookie string // its name; cookies do not know ports, so it has the port in it
	shared bool
	secure bool   // cookies over TLS alone
	file   string // "" keeps them in memory
	now    func() time.Time

	mu      sync.Mutex
	known   map[string]*device // by the hash of the cookie
	changed bell               // rings when who is here, or where, is different
}

// device is a browser of somebody.
type device struct {
	Name  string    `json:"name"`
	Since time.Time `json:"since"` // when it was let in
	Seen  time.Time `json:"seen"`

	readings int // since this program began
	hold     hold
}

const (
	letInFor    = 7 * 24 * time.Hour
	mostDevices = 200
)

func hashOf(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return base64.RawURLEncoding.EncodeToString(sum[:])
}

// newDevices knows the devices that a file lists.
func newDevices(o Options, port string) (*devices, error) {
	d := &devices{cookie: "evenfall-" + port, shared: o.Shared, secure: o.Secure, file: o.Devices, now: time.Now, known: map[string]*device{}}
	if d.file == "" {
		return d, nil
	}
	content, err := os.ReadFile(d.file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return d, nil
	case err == nil:
		err = json.Unmarshal(content, &d.known)
	}
	if err != nil || slices.Contains(slices.Collect(maps.Values(d.known)), nil) {
		return nil, fmt.Errorf("%s: expected the list of devices that this program wrote (%v): remove it, and let the devices in again", d.file, err)
	}
	return d, nil
}

// save writes the list. The caller holds the lock.
func (d *devices) save() error {
	if d.file == "" {
		return nil
	}
	content, err := json.MarshalIndent(d.known, "", "\t")
	if err == nil {
		err = outfile.WritePrivate(d.file, outfile.Bytes(append(content, '\n')))
	}
	return err
}

// end keeps when each was seen last.
func (d *devices) end() {
	d.mu.Lock()
	defer d.mu.Unlock()
	// Nothing is lost where it cannot be written but these times.
	_ = d.save()
}

// of is the device that a request comes from, "" for one that is not known. On this
// machine alone each browser with a cookie of this program is one.
func (d *devices) of(r *http.Request) (id string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.now()
	for _, c := range r.CookiesNamed(d.cookie) {
		id := hashOf(c.Value)
		x := d.known[id]
		if x == nil && !d.shared && len(d.known) < mostDevices {
			x = d.add(id, kindOf(r))
		}
		if x != nil && now.Sub(x.Since) < letInFor {
			x.Seen = now
			return id
		}
	}
	return ""
}

// add makes a device known. The caller holds the lock.
func (d *devices) add(id, name string) *device {
	now := d.now()
	maps.DeleteFunc(d.known, func(_ string, x *device) bool { return now.Sub(x.Since) >= letInFor })
	x := &device{Name: d.free(name, id), Since: now, Seen: now}
	d.known[id] = x
	return x
}

// free is a name that no other device has: phone, phone 2.
func (d *devices) free(name, id string) string {
	taken := map[string]bool{}
	for other, x := range d.known {
		taken[photometry.NameKey(x.Name)] = taken[photometry.NameKey(x.Name)] || other != id
	}
	found := name
	for n := 2; taken[photometry.NameKey(found)]; n++ {
		found = fmt.Sprintf("%s %d", name, n)
	}
	return found
}

// admit lets a device in under a name and gives it its cookie.
func (d *devices) admit(w http.ResponseWriter, name string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.known) >= mostDevices {
		return problem{503, "too_many", fmt.Sprintf("%d devices are let in already: remove some.", mostDevices)}
	}
	secret := random()
	id := hashOf(secret)
	d.add(id, name)
	if err := d.save(); err != nil {
		delete(d.known, id)
		return fileProblem("the list of devices", err)
	}
	d.give(w, secret)
	d.changed.ring()
	return nil
}

func (d *devices) give(w http.ResponseWriter, secret string) {
	http.SetCookie(w, &http.Cookie{Name: d.cookie, Value: secret, Path: "/", HttpOnly: true, Secure: d.secure, SameSite: http.SameSiteStrictMode, MaxAge: int(letInFor.Seconds())})
}

// greet gives a browser of this machine its cookie.
func (d *devices) greet(w http.ResponseWriter, r *http.Request) {
	if !d.shared && d.of(r) == "" {
		d.give(w, random())
	}
}

// kindOf is what sort of device a browser says it is on.
func kindOf(r *http.Request) string {
	says := func(word string) bool { return strings.Contains(r.UserAgent(), word) }
	switch {
	case says("iPad"):
		return "tablet"
	case says("Mobi"):
		return "phone"
	case says("Tablet"), says("Android"):
		return "tablet"
	}
	return "computer"
}

// nameOf is what people call a device.
func (d *devices) nameOf(id string) string {
	d.mu.Lock()
	defer d.mu.Unlock()
	if x := d.known[id]; x != nil {
		return x.Name
	}
	return "another device"
}

// count adds to the readings of a device.
func (d *devices) count(id string, outcomes []Outcome) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if x := d.known[id]; x != nil {
		for _, o := range outcomes {
			if o.Outcome == stored {
				x.readings++
			}
		}
	}
}

// change gives a device the name that a request has, or removes it.
func (d *devices) change(w http.ResponseWriter, r *http.Request) error {
	var call struct{ Name string }
	if r.Method != http.MethodDelete {
		if err := body(w, r, &call); err != nil {
			return err
		}
		name := deviceName(call.Name)
		if name == "" {
			return problem{400, "bad_name", fmt.Sprintf("Found the name “%s”, expected up to %d plain characters such as phone 2.", clip(call.Name), longestDevice)}
		}
		call.Name = name
	}
	if err := d.set(r.PathValue("id"), call.Name); err != nil {
		return err
	}
	return d.list(w, r)
}

// set renames a device, or with no name removes it.
func (d *devices) set(id, name string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	x := d.known[id]
	if x == nil {
		return problem{404, "no_device", "There is no such device any more."}
	}
	before := *x
	if name == "" {
		delete(d.known, id)
	} else {
		x.Name = d.free(name, id)
	}
	if err := d.save(); err != nil {
		*x = before
		d.known[id] = x
		return fileProblem("the list of devices", err)
	}
	d.changed.ring()
	return nil
}

// shownDevice is a device as the page shows it.
type shownDevice struct {
	ID       string `json:"id"`
	Name     string `json:"name"`
	You      bool   `json:"you"`
	Seen     int64  `json:"seen"` // ms since 1970
	Readings int    `json:"readings"`
	Survey   string `json:"survey,omitempty"` // where it holds a place
	Label    string `json:"label,omitempty"`
	Lamp     string `json:"lamp,omitempty"`
}

// list responds with all devices, who was here last first.
func (d *devices) list(w http.ResponseWriter, r *http.Request) error {
	me := d.of(r)
	d.mu.Lock()
	defer d.mu.Unlock()
	out := []shownDevice{}
	for id, x := range d.known {
		s := shownDevice{ID: id, Name: x.Name, You: id == me, Seen: x.Seen.UnixMilli(), Readings: x.readings}
		if x.hold.lives(d.now()) {
			s.Survey, s.Label, s.Lamp = x.hold.survey, x.hold.Label, x.hold.Lamp
		}
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b shownDevice) int {
		return cmp.Or(cmp.Compare(b.Seen, a.Seen), strings.Compare(a.Name, b.Name))
	})
	return answer(w, 200, map[string]any{"devices": out, "shared": d.shared, "now": d.now().UnixMilli()})
}
