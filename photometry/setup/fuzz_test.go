package setup

import (
	"bytes"
	"encoding/json"
	"testing"
)

// What is read of keys and values, and of cameras, can be told as JSON, and what cannot
// be read says why.
func FuzzReadSettings(f *testing.F) {
	f.Add([]byte("key,value,note\ntitle,The Paper Moon,\nISO,400,\nframe rate,25,\nshutter,180°,\nT-stop,T2.8,\nND,0.3,\ntarget K,5600,\nmains,50 Hz,\nfloor y,-0.6 m,\nphoto,a.jpg;b.jpg,\n"))
	f.Add([]byte("Schlüssel;Wert\nISO;800\nshutter;1/50 s\nbefore;..\napproved;yes\nintent;match\n"))
	f.Fuzz(func(t *testing.T, content []byte) {
		s, err := ReadSettings(bytes.NewReader(content), "setup.csv")
		told(t, s, err)
	})
}

func FuzzReadCameras(f *testing.F) {
	f.Add([]byte("camera,measured K,measured Duv,camera K,camera tint,note\nA,5600,0.0008,5650,4,by the key\nB,3200,-0.002,3150,-2,\n"))
	f.Add([]byte("camera;meter K;set to\nA;5.600;5.600\n"))
	f.Fuzz(func(t *testing.T, content []byte) {
		c, err := ReadCameras(bytes.NewReader(content), "cameras.csv")
		told(t, c, err)
	})
}

// told holds what was read to JSON, which has no place for what is no number, and an
// error to its words.
func told(t *testing.T, read any, err error) {
	t.Helper()
	if err != nil {
		if err.Error() == "" {
			t.Fatal("an error without a word")
		}
		return
	}
	if _, err := json.Marshal(read); err != nil {
		t.Fatal(err)
	}
}
