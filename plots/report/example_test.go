package report_test

import (
	"fmt"
	"io"
	"testing/fstest"

	"evenfall/plots/answers"
	"evenfall/plots/document"
	"evenfall/plots/report"
)

// A folder may be any file system: os.DirFS, or one in memory as here.
func ExampleRead() {
	folder := fstest.MapFS{
		"setup.csv": {Data: []byte("key,value\ntitle,The Paper Moon\nISO,400\nshutter,1/50\n")},
		"sky.csv": {Data: []byte("# surface: paper sky\n# width: 2 m\n# height: 1 m\n# repeatability: 1 %\n" +
			"label,E (lx)\nA1,800\nA2,810\nA3,820\nB1,805\nB2,812\nB3,822\n")},
	}
	r, err := report.Read(folder, report.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Verdict.Overall+":", answers.Sentence(document.Words{}, r.Verdict.Text.Finding))
	fmt.Printf("f/%.1f at ISO %.0f\n", r.Exposure.Areas[0].FNumber, r.Exposure.ISO)
	if err := r.HTML(io.Discard, document.Words{}); err != nil {
		fmt.Println(err)
	}
	// Output:
	// pass: paper sky: spread 0.04 stop, 0.50 allowed (95 % CI 0.00–0.08)
	// f/5.1 at ISO 400
}
