package report

import (
	"io"
	"testing"
	"testing/fstest"

	"evenfall/plots/document"
)

// Whatever stands in the files, a folder is an error or a report whose page and
// text can be written.
func FuzzRead(f *testing.F) {
	whole := theatre()
	f.Add(whole["setup.csv"].Data, whole["cloth.csv"].Data, whole["lamps.csv"].Data, whole["along.csv"].Data)
	f.Add([]byte("key,value\nshutter,180\nND,9\n"), []byte("f,0,1\n0,5.6,8\n1,8,11\n"), []byte("name,kind,x,y,z,E (lx),at (m)\na,point,1,1,1,500,2\n"), []byte("distance (ft),f\n3,8\n4,5.6\n"))
	f.Add([]byte("key,value\nT-stop,T0\ntarget K,1\n"), []byte("label,x (m),y (m),relative\na,0,0,1\nb,1,1,0\n"), []byte("name,kind\nx,flag\n"), []byte("angle (deg),E (lx)\n0,1\n"))
	f.Add([]byte("key,value\nISO,100\n"), []byte("# light: continuous\n# iso: 100\n# shutter: 1/48\nL (cd/m²),0,1\n0,5,8\n1,8,11\n"), []byte(""), []byte("ND,E (lx)\n0,900\n0.3,450\n"))
	f.Fuzz(func(t *testing.T, setup, cloth, lamps, along []byte) {
		r, err := Read(fstest.MapFS{"setup.csv": {Data: setup}, "cloth.csv": {Data: cloth}, "lamps.csv": {Data: lamps}, "along.csv": {Data: along}}, Options{})
		if err != nil {
			return
		}
		if err := r.HTML(io.Discard, document.Words{}); err != nil {
			t.Error(err)
		}
		if err := r.Markdown(io.Discard, document.Words{}); err != nil {
			t.Error(err)
		}
	})
}
