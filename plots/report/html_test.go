package report

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"evenfall/plots/document"
)

func parsed(t testing.TB, page string) *html.Node {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	return root
}

func attribute(n *html.Node, key string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val, true
		}
	}
	return "", false
}

// textIn is the text of a node without that of styles.
func textIn(n *html.Node) string {
	if n.Type == html.TextNode {
		return n.Data
	}
	var b strings.Builder
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		if c.DataAtom != atom.Style {
			b.WriteString(textIn(c))
		}
	}
	return b.String()
}

// textOf is a page as it is read aloud, a line a heading, row or item.
func textOf(t testing.TB, page string) string {
	var b strings.Builder
	line := func(format string, values ...any) {
		if text := strings.Join(strings.Fields(strings.NewReplacer("\u2060", "", "\u2011", "-").Replace(fmt.Sprintf(format, values...))), " "); text != "" {
			b.WriteString(text + "\n")
		}
	}
	var visit func(*html.Node)
	visit = func(n *html.Node) {
		switch {
		case n.Type == html.TextNode || n.DataAtom == atom.Head:
			return
		case n.DataAtom == atom.H1 || n.DataAtom == atom.H2 || n.DataAtom == atom.H3:
			b.WriteString("\n" + strings.Repeat("#", int(n.Data[1]-'0')) + " " + textIn(n) + "\n")
		case n.Data == "svg":
			title, desc := "", ""
			for c := n.FirstChild; c != nil; c = c.NextSibling {
				switch c.Data {
				case "title":
					title = textIn(c)
				case "desc":
					desc = textIn(c)
				}
			}
			line("[picture: %s. %s]", title, desc)
		case n.DataAtom == atom.Img:
			alt, _ := attribute(n, "alt")
			line("[photo: %s]", alt)
		case n.DataAtom == atom.Tr:
			var cells []string
			for c := n.FirstChild; c != nil; c = c.NextSibling {
				var parts []string
				for d := c.FirstChild; d != nil; d = d.NextSibling {
					if text := textIn(d); text != "" {
						parts = append(parts, text)
					}
				}
				cells = append(cells, strings.Join(parts, " / "))
			}
			line("%s", strings.Join(cells, " | "))
		case n.DataAtom == atom.Dt:
			var texts []string
			for dd := n.NextSibling; dd != nil; dd = dd.NextSibling {
				texts = append(texts, textIn(dd))
			}
			line("%s: %s", textIn(n), strings.Join(texts, " "))
		case n.DataAtom == atom.P || n.DataAtom == atom.Li || n.DataAtom == atom.Caption || n.DataAtom == atom.Figcaption:
			line("%s", textIn(n))
		default:
			for c := n.FirstChild; c != nil; c = c.NextSibling {
				visit(c)
			}
		}
	}
	visit(parsed(t, page))
	return b.String()
}

// void elements have no end tag.
var void = []string{"meta", "br", "img", "link", "hr", "input"}

// checkPage holds a page to what every one must have: tags that nest and elements
// where the parser leaves them, headings in order, ids once, words for every
// picture, labels that exist, and nothing from outside.
func checkPage(t *testing.T, page string) {
	t.Helper()
	var open, written []string
	z := html.NewTokenizer(strings.NewReader(page))
	for kind := z.Next(); kind != html.ErrorToken; kind = z.Next() {
		name, _ := z.TagName()
		tag := string(name)
		switch kind {
		case html.StartTagToken:
			written = append(written, tag)
			if !slices.Contains(void, tag) {
				open = append(open, tag)
			}
		case html.SelfClosingTagToken:
			written = append(written, tag)
		case html.EndTagToken:
			if len(open) == 0 || open[len(open)-1] != tag {
				t.Fatalf("</%s> closes %v", tag, open)
			}
			open = open[:len(open)-1]
		}
	}
	if len(open) > 0 {
		t.Fatalf("never closed: %v", open)
	}
	var elements []string
	ids, wanted := map[string]bool{}, map[string]bool{}
	level := 0
	for n := range parsed(t, page).Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		elements = append(elements, strings.ToLower(n.Data))
		if id, ok := attribute(n, "id"); ok {
			if ids[id] {
				t.Errorf("id %s stands twice", id)
			}
			ids[id] = true
		}
		for _, a := range n.Attr {
			switch {
			case a.Key == "aria-labelledby":
				for _, id := range strings.Fields(a.Val) {
					wanted[id] = true
				}
			case a.Key == "href" && strings.HasPrefix(a.Val, "#"):
				wanted[a.Val[1:]] = true
			case (a.Key == "href" || a.Key == "src" || a.Key == "srcset" || a.Key == "action") && !strings.HasPrefix(a.Val, "data:image/"):
				t.Errorf("<%s %s=%q> is from outside", n.Data, a.Key, a.Val)
			case strings.HasPrefix(a.Key, "on") || a.Key == "style":
				t.Errorf("<%s> has %s", n.Data, a.Key)
			}
		}
		switch n.Data {
		case "h1", "h2", "h3", "h4", "h5", "h6":
			at := int(n.Data[1] - '0')
			if at > level+1 {
				t.Errorf("heading %d %q follows one of level %d", at, textIn(n), level)
			}
			level = at
			if strings.TrimSpace(textIn(n)) == "" {
				t.Errorf("an empty heading of level %d", at)
			}
		case "img":
			if alt, _ := attribute(n, "alt"); strings.TrimSpace(alt) == "" {
				t.Error("a photo without words")
			}
		case "svg":
			role, _ := attribute(n, "role")
			if role != "img" || n.FirstChild == nil {
				t.Errorf("a picture with role %q", role)
			}
			if text := textIn(n); len(text) < 40 {
				t.Errorf("a picture with few words: %q", text)
			}
		case "script", "iframe", "object", "embed", "form", "base":
			t.Errorf("a page with <%s>", n.Data)
		case "style":
			if css := n.FirstChild.Data; strings.Contains(css, "url(") || strings.Contains(css, "@import") {
				t.Error("a style that loads something")
			}
		}
	}
	if !slices.Equal(elements, written) {
		for i := range min(len(elements), len(written)) {
			if elements[i] != written[i] {
				t.Fatalf("the parser moves elements: at %d it has %s where %s is written (%v)", i, elements[i], written[i], written[max(0, i-5):i])
			}
		}
		t.Fatalf("the parser has %d elements, %d are written", len(elements), len(written))
	}
	for id := range wanted {
		if !ids[id] {
			t.Errorf("no id %s", id)
		}
	}
	for _, must := range []string{`<html lang="en">`, `<meta name="viewport"`, `<meta charset="utf-8">`, `content="default-src 'none'; img-src data:; style-src 'unsafe-inline'"`, "<title>", "<main>"} {
		if !strings.Contains(page, must) {
			t.Errorf("no %s", must)
		}
	}
}

func TestPageIsValid(t *testing.T) {
	for name, folder := range map[string]fstest.MapFS{
		"everything":  theatre(),
		"setup alone": folderOf(map[string]string{"setup.csv": "key,value\ntitle,Moon\n"}),
		"lamps alone": folderOf(map[string]string{"lamps.csv": twoLamps}),
		"one survey":  folderOf(map[string]string{"a.csv": "label,x (m),y (m),E (fc)\nA1,0,0,70\nA2,1,0,72\nB1,0,1,71\nB2,1,1,70\n"}),
		"a light":     folderOf(map[string]string{"along.csv": string(theatre()["along.csv"].Data)}),
		"marks":       folderOf(map[string]string{"ratio.csv": "mark,role,E (lx)\na,key,800\na,fill,400\nb,key,700\n"}),
		"a bag":       folderOf(map[string]string{"gels.csv": "name,kind,mired\nhalf blue,CTB,-66\n"}),
	} {
		t.Run(name, func(t *testing.T) {
			r := read(t, folder, Options{})
			if name != "everything" && name != "setup alone" && len(r.Problems) > 0 {
				t.Errorf("problems %v", r.Problems)
			}
			checkPage(t, pageOf(t, r))
		})
	}
}

// hostile is what people, or somebody who means them ill, may type: markup, quotes
// of every kind, a template, an emoji, letters from right to left and a character
// that turns the direction of what follows.
const hostile = `<script>alert(1)</script>"><img src=x onerror=alert(2)>'` + "`${7*7}{{.}}</style></title>]]>&amp;&#60; 🎭 שלום \u202egnp.exe [a](javascript:x) |x| *b*"

func hostileFolder() fstest.MapFS {
	quoted := func(text string) string { return `"` + strings.ReplaceAll(text, `"`, `""`) + `"` }
	h := quoted(hostile)
	walk := func(date string) string {
		return "# surface: " + hostile + "\n# date: " + date + "\n# operator: " + hostile + "\n# location: " + hostile + "\n# reference: " + hostile + "\nlabel,x (m),y (m),time,E (lx),CCT (K),note\n" + h + ",0,0,10:00,700,5600," + h + "\nb,1,0,10:01,710,5610,\n" + h + ",0,0,10:02,702,5600,\nc,0,1,10:03,690,5600,\nd,1,1,10:04,702,5590,\n"
	}
	return fstest.MapFS{
		"setup.csv":                   {Data: []byte("key,value,note\n" + strings.ReplaceAll("title,H,H\nscene,H,\nmark,H,\ndate,H,\ncamera,H,\nISO,400,\nshutter,1/50,\nT-stop,H,\nnotes,H,H\nH,H,H\nbefore,H,\nphoto,H,\n", "H", h))},
		`<b onclick="x">'cloth'&.csv`: {Data: []byte(walk(hostile))},
		"🎭 old.csv":                   {Data: []byte(walk("0000"))},
		"lamps.csv":                   {Data: []byte(strings.NewReplacer("left", h, "full flood", h, "quarter", h, "half blue", h, "4 on the knob", h, "by the door", h).Replace(twoLamps))},
		"gels.csv":                    {Data: []byte("name,kind,mired,CC,transmission (%)\n" + h + ",CTB,-66,,53\n")},
		"ratio.csv":                   {Data: []byte("# target: 2:1\n# operator: " + hostile + "\nmark,role,lamp,E (lx),aim,note\n" + h + ",key," + h + ",800," + h + "," + h + "\n" + h + ",fill,,400,camera,\n")},
		"cameras.csv":                 {Data: []byte("camera,measured K,measured Duv,camera K,camera tint\n" + h + ",5600,0.001,5500,2\n")},
		"along.csv":                   {Data: []byte("# surface: " + hostile + "\nlabel,distance (m),E (lx)\n" + h + ",1,3600\nb,1.5,1602\nc,2,899\nd,2.5,577\ne,3,400\nf,4,226\n")},
		"meter.csv":                   {Data: []byte("# surface: " + hostile + "\nlabel,angle (deg),E (lx)\n" + h + ",0,900\n" + h + ",0,905\n" + h + ",0,890\n" + h + ",0,900\n")},
		"\"><img src=x onerror=\"alert(3)\"\u202e.jpg": {Data: []byte(pixel)},
		`bad <i>.csv`: {Data: []byte("label,E (lx)\n" + h + "," + h + "\n")},
	}
}

func TestWhatPeopleTypeStaysText(t *testing.T) {
	r := read(t, hostileFolder(), Options{})
	if len(r.Surfaces) != 1 || len(r.Lamps) != 2 || r.Ratios == nil || r.Surfaces[0].Before.Match == nil || len(r.Distances) != 1 || len(r.Meters) != 1 || r.Gels == nil || r.Cameras == nil || len(r.Photos) != 1 {
		t.Fatalf("%d surfaces, %d lamps, %d series, %d meters, %d photos; %+v", len(r.Surfaces), len(r.Lamps), len(r.Distances), len(r.Meters), len(r.Photos), r.Problems)
	}
	page := pageOf(t, r)
	checkPage(t, page)
	root := parsed(t, page)
	texts := 0
	for n := range root.Descendants() {
		if n.Type == html.TextNode {
			texts += strings.Count(n.Data, "<script>alert(1)</script>")
			if strings.ContainsRune(n.Data, '\u202e') {
				t.Errorf("a character that turns the direction: %q", n.Data)
			}
		}
		if n.Type == html.ElementNode && (n.Data == "b" && len(n.Attr) > 0 || n.Data == "i") {
			t.Errorf("markup from a name: <%s>", n.Data)
		}
	}
	if texts < 20 {
		t.Errorf("the typed text stands %d times", texts)
	}
	for _, whole := range []string{"🎭", "שלום", "{{.}}", "${7*7}"} {
		if !strings.Contains(textIn(root), whole) {
			t.Errorf("%s is lost", whole)
		}
	}
	var md bytes.Buffer
	if err := r.Markdown(&md, document.Words{}); err != nil {
		t.Fatal(err)
	}
	for _, never := range []string{"<script", "<img", "<b ", "<i>", "[a](", " |x| "} {
		if strings.Contains(strings.ReplaceAll(md.String(), `\[a\](`, ""), never) {
			t.Errorf("the Markdown has %s", never)
		}
	}
	// Each row of a table has as many cells as its head.
	cells := -1
	for line := range strings.Lines(md.String()) {
		if !strings.HasPrefix(line, "|") {
			cells = -1
			continue
		}
		n := strings.Count(strings.ReplaceAll(line, `\|`, ""), "|")
		if cells >= 0 && n != cells {
			t.Errorf("a row of %d cells under %d: %s", n-1, cells-1, line)
		}
		cells = n
	}
}

// surveys is a folder of many surfaces.
func surveys(n int) fstest.MapFS {
	folder := theatre()
	for i := range n {
		folder[fmt.Sprintf("wall %02d.csv", i)] = &fstest.MapFile{Data: []byte(cloth(fmt.Sprintf("wall %d", i), "2026-05-02", 780+float64(5*i)))}
	}
	return folder
}

func TestSixtySurveys(t *testing.T) {
	r := read(t, surveys(60), Options{})
	if len(r.Surfaces) != 61 {
		t.Fatalf("%d surfaces", len(r.Surfaces))
	}
	page := pageOf(t, r)
	checkPage(t, page)
	if n := strings.Count(page, "<svg"); n < 61*4 {
		t.Errorf("%d pictures", n)
	}
	t.Logf("%d surfaces: %.1f MB", len(r.Surfaces), float64(len(page))/(1<<20))
	if len(page) > 40<<20 {
		t.Errorf("a page of %d bytes", len(page))
	}
}

// One round is reading a folder of 60 surveys and writing its page; the page's
// size is told too.
func BenchmarkReport60(b *testing.B) {
	folder := surveys(60)
	size := 0
	for b.Loop() {
		size = len(pageOf(b, read(b, folder, Options{})))
	}
	b.ReportMetric(float64(size)/(1<<20), "MB")
}

func BenchmarkReport(b *testing.B) {
	folder := theatre()
	size := 0
	for b.Loop() {
		size = len(pageOf(b, read(b, folder, Options{})))
	}
	b.ReportMetric(float64(size)/(1<<20), "MB")
}
