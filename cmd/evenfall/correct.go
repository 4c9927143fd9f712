package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"github.com/spf13/cobra"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/plots/answers"
)

// Tables that are used where they lie beside the lamps or in this folder, and
// the word for the trade's own bag.
const (
	gelsFile    = "gels.csv"
	camerasFile = "cameras.csv"
	nominalBag  = "nominal"
)

// stacksListed is how many stacks a result has; the screen shows fewer.
const stacksListed = 8

func (a *app) correctCommand() *cobra.Command {
	var flags correctFlags
	command := &cobra.Command{
		Use:   "correct [LAMPS]",
		Short: "What takes a light to a target color: gels, camera setting, and the cost",
		Long: `Correct says what takes a measured light to a target. It gives the shift in mired,
the green or magenta in CC points, and the camera setting. It ranks stacks of at
most two gels by the reading they predict and the stops they cost. One light is
given by flags. A table of lamps is brought to --to, or to what the majority of its
lamps agrees on. Its columns are name and a color: CCT or mired with Duv or CC, cie
x and cie y, or u' and v'. Columns level and role help where they are known.

Gels come from --gels, else from a gels.csv beside the lamps or in this folder,
else they are nominal. That table has name, kind, mired, CC and transmission; cie
x, cie y and source where the maker gives them. --camera applies a camera's offset
from --cameras, or from a cameras.csv found likewise. That has camera, measured K,
measured Duv, camera K and camera tint (positive toward magenta), several rows a
camera. The exit status is 0 where the target is met and 1 where nothing gets
there.`,
		Example: "  evenfall correct --cct 3200K --duv +0.010 --to 3200K\n" +
			"  evenfall correct --cct 5600K --cc \"needs 10M\" --to 5600K --on lens\n" +
			"  evenfall correct lamps.csv --to key --camera B",
		RunE: func(_ *cobra.Command, args []string) error { return a.correct(flags, args) },
	}
	f := command.Flags()
	f.StringVar(&flags.cct, "cct", "", "the light's color temperature in `kelvins`, 3200K, or mired, 312mired")
	f.StringVar(&flags.duv, "duv", "", "the light's `Duv`, positive for green, such as +0.010")
	f.StringVar(&flags.cc, "cc", "", "instead of Duv a `reading` of what it needs or has: \"needs 10M\", \"has 10G\"")
	f.StringVar(&flags.xy, "xy", "", "the light's chromaticity `x,y`, or uv:… or u'v':…")
	f.StringVar(&flags.to, "to", "", "the `target`: 5600K, xy:…, a lamp of the table, or key")
	f.StringVar(&flags.gels, "gels", "", "`table` of the gels in your bag, or nominal for the trade's")
	f.StringVar(&flags.camera, "camera", "", "the camera whose offset to apply, by `name`")
	f.StringVar(&flags.cameras, "cameras", "", "`table` of cameras compared with the meter")
	f.StringVar(&flags.on, "on", "", "the `place` where gel hangs, lamp or lens, so whom its loss costs")
	f.StringVar(&flags.tolerance, "tolerance", "", "the `miss` that counts as met, such as \"10 mired, 0.003 Duv\"")
	places := []string{string(colorimetry.OnLamp), string(colorimetry.OnLens)}
	must(command.RegisterFlagCompletionFunc("on", cobra.FixedCompletions(places, cobra.ShellCompDirectiveNoFileComp)))
	return command
}

// correct reads what both kinds of call share, the bag and the camera.
func (a *app) correct(flags correctFlags, args []string) error {
	args, err := flags.settle(args)
	if err != nil {
		return err
	}
	opts, err := flags.options()
	if err != nil {
		return err
	}
	folder := "."
	if len(args) == 1 {
		folder = filepath.Dir(args[0])
	}
	basis := answers.Basis{Schema: "evenfall/correct/1", Inferred: []string{}}
	gels, err := a.bag(flags.gels, folder, &basis)
	if err != nil {
		return err
	}
	if basis.Offset, err = a.cameraOffset(flags, folder, &basis); err != nil {
		return err
	}
	opts.Camera = basis.Offset
	if len(args) == 1 {
		return a.correctLamps(flags, args[0], gels, opts, basis)
	}
	return a.correctLight(flags, gels, opts, basis)
}

// correctLight takes one light to a color.
func (a *app) correctLight(flags correctFlags, gels []colorimetry.Gel, opts colorimetry.Options, basis answers.Basis) error {
	source, err := flags.source()
	if err != nil {
		return err
	}
	target, err := parseColor("to", flags.to, "; a lamp's name needs a table of lamps")
	if err != nil {
		return err
	}
	c, err := colorimetry.Correct(source, target, gels, opts)
	if err != nil {
		return err
	}
	c.Warnings = append(c.Warnings, basis.FileWarnings...)
	a.outcome(c.Within)
	result := answers.OneLight{Basis: basis.With(opts), Correction: c}
	return a.present(result, answers.CorrectLight(result, a.words(), a.full), "light")
}

// correctLamps brings the lamps of a table together.
func (a *app) correctLamps(flags correctFlags, path string, gels []colorimetry.Gel, opts colorimetry.Options, basis answers.Basis) error {
	lamps, err := readTable(a, path, "table of lamps", setup.ReadLampColors)
	if err != nil {
		return err
	}
	basis.Told(path, lamps.Origin)
	basis.LeftOut(lamps)
	if err := flags.tolerate(&opts, lamps, &basis); err != nil {
		return err
	}
	aim, err := flags.aim(lamps.Lamps)
	if err != nil {
		return err
	}
	c, err := colorimetry.CorrectAll(lamps.Lamps, aim, gels, opts)
	if err != nil {
		return err
	}
	c.Warnings = append(c.Warnings, basis.FileWarnings...)
	if a.keepsGels(filepath.Dir(path)) {
		c.Warnings = append(c.Warnings, photometry.Found("correct.approved"))
	}
	a.outcome(c.Within && len(basis.Without) == 0)
	result := answers.ManyLights{Basis: basis.With(opts), LampsCorrection: c}
	return a.present(result, answers.CorrectLamps(result, a.words(), a.full), pictureName(path, "lamps"))
}

// keepsGels reports whether the set-up beside a table of lamps is to be kept as it is on
// file: its light is approved, or the steps of the folder match an earlier day.
func (a *app) keepsGels(folder string) bool {
	path := a.found("setup.csv", folder)
	if path == "" {
		return false
	}
	set, _ := readTable(a, path, "table of keys and values", setup.ReadSettings)
	return set != nil && (set.Approved != "" || set.Intent == schema.IntentMatch)
}

// bag are the gels to choose from.
func (a *app) bag(path, folder string, basis *answers.Basis) ([]colorimetry.Gel, error) {
	if path == "" {
		path = a.found(gelsFile, folder)
	}
	if path == "" || path == nominalBag {
		kit := colorimetry.NominalKit()
		basis.Bag, basis.Gels = nominalBag, len(kit)
		return kit, nil
	}
	bag, err := readTable(a, path, "table of gels", setup.ReadGels)
	if err != nil {
		return nil, err
	}
	basis.Bag, basis.Gels = path, len(bag.Gels)
	basis.Told(path, bag.Origin)
	return bag.Gels, nil
}

// cameraOffset is the named camera's, nil where none is named.
func (a *app) cameraOffset(flags correctFlags, folder string, basis *answers.Basis) (*colorimetry.CameraOffset, error) {
	path := flags.cameras
	switch {
	case flags.camera == "" && path == "":
		return nil, nil
	case flags.camera == "":
		return nil, fmt.Errorf("--cameras: no camera named, expected --camera with one of the table's")
	case path == "":
		if path = a.found(camerasFile, folder); path == "" {
			return nil, fmt.Errorf("--camera: found no %s here, expected --cameras with a table of cameras", camerasFile)
		}
	}
	cameras, err := readTable(a, path, "table of cameras", setup.ReadCameras)
	if err != nil {
		return nil, err
	}
	offset, err := colorimetry.CameraNamed(cameras.Offsets, flags.camera)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	basis.CameraTable = path
	basis.Told(path, cameras.Origin)
	return &offset, nil
}

// found looks for a table of the set-up beside another, then in this folder. As in a
// folder that is read whole, what is no regular file is named and not read.
func (a *app) found(name, folder string) string {
	for _, path := range []string{filepath.Join(folder, name), name} {
		switch info, err := os.Lstat(path); {
		case err != nil || info.IsDir():
		case info.Mode().IsRegular():
			return path
		case !slices.Contains(a.skipped, filepath.Base(path)):
			a.skipped = append(a.skipped, filepath.Base(path))
			a.note("%s", answers.Sentence(a.words(), photometry.Found("folder.irregular", "files", a.skipped[len(a.skipped)-1:])))
		}
	}
	return ""
}

// readTable opens a file and reads it as what it should be.
func readTable[T any](a *app, path, what string, read func(io.Reader, string) (*T, error)) (*T, error) {
	out, err := readInput(a, path, ofReadings, read)
	if !errors.Is(err, fs.ErrNotExist) {
		return out, err
	}
	if _, err := strconv.ParseFloat(path, 64); err == nil {
		what += ", or a color with its unit, such as " + path + "K"
	}
	return nil, fmt.Errorf("%s: no such file, expected a %s", path, what)
}
