package setup

import (
	"io"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// Camera is a row of a table of cameras: a light as the meter reads it, and the
// setting at which the camera renders white in it neutral. CameraTint is in the
// camera's own units, positive toward magenta.
type Camera struct {
	Camera         string   `csv:"camera"`
	MeasuredKelvin Kelvins  `csv:"measured K"`
	MeasuredDuv    *float64 `csv:"measured Duv"`
	CameraKelvin   Kelvins  `csv:"camera K"`
	CameraTint     *float64 `csv:"camera tint"`
	Note           string   `csv:"note"`
}

// Cameras is the content of a table of cameras: how each differs from the meter.
type Cameras struct {
	Origin
	Offsets []colorimetry.CameraOffset
}

// ReadCameras reads a table of cameras, several rows a camera. The error is
// table.Errors, or one *table.Error where the table has no cameras at all.
func ReadCameras(r io.Reader, file string) (*Cameras, error) { return Flags(nil).Cameras(r, file) }

// Cameras is ReadCameras with notes of a command line, which answer questions.
func (flags Flags) Cameras(r io.Reader, file string) (*Cameras, error) {
	return read(r, file, kindOf{schema.CamerasFile, "camera", []string{"camera", "measured K", "camera K"}}, flags, newCameras)
}

func newCameras(t *rows[Camera]) (out *Cameras, err error) {
	var readings []colorimetry.CameraReading
	copied := t.notCounted().copied
	for i, row := range t.Rows {
		if copied[i] {
			t.fail(i, "camera", "each row once: it is in a copy of the rows above")
		}
		reading := row.Value.reading()
		t.checkCamera(i, reading)
		readings = append(readings, reading)
	}
	if err := t.errs.ErrOrNil(); err != nil {
		return nil, err
	}
	out = &Cameras{Origin: t.origin()}
	if out.Offsets, err = colorimetry.CameraOffsets(readings); err != nil {
		return nil, &table.Error{File: t.File, Sheet: t.Name, Found: err.Error(), InWords: true, Err: err}
	}
	return out, nil
}

// reading converts the row unchanged.
func (c Camera) reading() colorimetry.CameraReading {
	out := colorimetry.CameraReading{Camera: c.Camera, MeasuredKelvin: float64(c.MeasuredKelvin), CameraKelvin: float64(c.CameraKelvin)}
	if c.MeasuredDuv != nil {
		out.MeasuredDuv = *c.MeasuredDuv
	}
	if c.CameraTint != nil {
		out.CameraTint = *c.CameraTint
	}
	return out
}

func (r *rows[T]) checkCamera(row int, c colorimetry.CameraReading) {
	if c.Camera == "" {
		r.fail(row, "camera", "the camera's name")
	}
	if c.CameraKelvin == 0 {
		r.fail(row, "camera K", "the color temperature that the camera was set to")
	}
	r.within(row, schema.ColumnNamed(schema.CamerasFile, "camera tint"), &c.CameraTint)
	if c.MeasuredKelvin == 0 {
		r.fail(row, "measured K", "the color temperature that the meter read")
		return
	}
	light := colorimetry.CCT{Kelvin: c.MeasuredKelvin, Duv: c.MeasuredDuv}
	if err := light.Check(); err != nil {
		r.fail(row, "measured Duv", duvExpected)
	} else if _, err := colorimetry.CCNeeded(light); err != nil {
		r.fail(row, "measured Duv", "a Duv that a CC filter can take to 0")
	}
}
