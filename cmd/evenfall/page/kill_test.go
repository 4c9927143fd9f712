package page

import (
	"bufio"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"evenfall/cmd/evenfall/browsertest"
)

// servedFolder is the environment variable that makes the test binary a server of
// a folder, to be killed, and servedAt the address where it listens, any free one
// without it.
const (
	servedFolder = "EVENFALL_TEST_SERVE"
	servedAt     = "EVENFALL_TEST_ADDRESS"
)

func TestMain(m *testing.M) {
	if folder := os.Getenv(servedFolder); folder != "" {
		root, err := os.OpenRoot(folder)
		if err != nil {
			panic(err)
		}
		listener, err := net.Listen("tcp", cmp.Or(os.Getenv(servedAt), "127.0.0.1:0"))
		if err != nil {
			panic(err)
		}
		fmt.Println("http://" + listener.Addr().String())
		if err := Serve(context.Background(), listener, root, Options{}); err != nil {
			panic(err)
		}
		return
	}
	os.Exit(browsertest.Shared{M: m}.Run())
}

// process is a server that can be killed as by kill -9 or a pulled plug.
type process struct {
	command *exec.Cmd
	address string
}

func start(t *testing.T, folder string) *process {
	t.Helper()
	command := exec.Command(os.Args[0])
	command.Env = append(os.Environ(), servedFolder+"="+folder)
	command.Stderr = os.Stderr
	out, err := command.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	return &process{command, strings.TrimSpace(line)}
}

func (p *process) kill() {
	p.command.Process.Kill()
	p.command.Wait()
}

// TestKilled kills the server at random moments while two devices write 240 entries, with
// CALIBRATION=1 500: every entry that was acknowledged is there in the end, and what
// was not is sent again as the page does.
func TestKilled(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	s := serve(t, folder, Options{})
	name := s.begin()
	s.stop()

	const devices = 2
	total := 240
	if os.Getenv("CALIBRATION") != "" {
		total = 500
	}
	random := rand.New(rand.NewPCG(3, 14))
	var mu sync.Mutex // over the process that runs now
	server := start(t, folder)
	address := func() string { mu.Lock(); defer mu.Unlock(); return server.address }
	base := time.Now().UnixMilli() - 10_000_000
	type write struct {
		label, text string
		at          int64
	}
	acknowledged := make([][]write, devices)
	retries := make([]int, devices)
	progress := make(chan bool, total)
	labels := []string{"A2", "A5", "A8", "C8", "C5", "C2", "E2", "E5", "E8"}
	var wait sync.WaitGroup
	for device := range devices {
		wait.Go(func() {
			client := http.Client{Timeout: 5 * time.Second, Transport: &http.Transport{}}
			for i := range total / devices {
				e := Entry{ID: fmt.Sprint(i), Label: labels[(i+device)%9], At: base + int64(devices*i+device), Text: fmt.Sprint(500 + i), Kind: kindAgain}
				body, _ := json.Marshal(map[string]any{"entries": []Entry{e}})
				for {
					to := address()
					r, _ := http.NewRequest("POST", to+"/api/surveys/"+name+"/entries", strings.NewReader(string(body)))
					r.Header.Set("Origin", to)
					r.Header.Set("Content-Type", "application/json")
					answer, err := client.Do(r)
					if err != nil {
						retries[device]++
						time.Sleep(2 * time.Millisecond)
						continue
					}
					var out sent
					text, err := io.ReadAll(answer.Body)
					answer.Body.Close()
					if err != nil || json.Unmarshal(text, &out) != nil {
						retries[device]++
						continue
					}
					if answer.StatusCode != 200 || out.Entries[0].Outcome != stored && out.Entries[0].Outcome != same {
						t.Errorf("%d %s", answer.StatusCode, text)
						return
					}
					acknowledged[device] = append(acknowledged[device], write{e.Label, e.Text, e.At})
					progress <- true
					break
				}
			}
		})
	}
	go func() { wait.Wait(); close(progress) }()
	kills, next := 0, 5
	for range progress {
		if next--; next > 0 {
			continue
		}
		// The moment is anywhere in what is written next, on a slow machine as on a fast one.
		next = 5 + random.IntN(20)
		time.Sleep(time.Duration(random.IntN(8000)) * time.Microsecond)
		server.kill()
		kills++
		mu.Lock()
		server = start(t, folder)
		mu.Unlock()
	}
	server.kill()
	if kills < total/25 {
		t.Errorf("killed %d times only", kills)
	}
	t.Logf("%d kills, %v entries sent again", kills, retries)

	// The file alone must tell all of it.
	content, err := os.ReadFile(folder + "/" + name)
	if err != nil {
		t.Fatal(err)
	}
	b, err := newEditor(name, content, time.Now(), time.Local)
	if err != nil {
		t.Fatal(err)
	}
	there := map[write]int{}
	for _, r := range b.rows {
		if !r.empty() {
			there[write{r.Label, b.reading(r).Text, r.UnixMilli}]++
		}
	}
	lost := 0
	for _, all := range acknowledged {
		for _, w := range all {
			if there[w] != 1 {
				lost++
				t.Errorf("%+v is there %d times", w, there[w])
			}
		}
	}
	if len(there) != total {
		t.Errorf("%d readings in the file, want %d", len(there), total)
	}
}
