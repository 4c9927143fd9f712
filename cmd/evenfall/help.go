package main

import (
	"fmt"
	"strings"

	"evenfall/cmd/evenfall/infile"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
	"evenfall/photometry/tolerance"
	"evenfall/plots/document"
)

// fileHelp says what each sort of file is for and what its columns leave unsaid.
var fileHelp = map[schema.File]string{
	schema.SurveyFile: "Readings of one surface: a row a reading, or a grid. A grid has the unit in its first cell, x along the first row and y down the first column. " +
		"A1 to E9 with the notes width and height are an even grid. x runs to camera right and y up, from the lower left corner. " +
		"Several files of the same places are one survey: levels in one, kelvins in another. " +
		"A column lamp holds readings of one lamp alone; an empty cell, or all, is all of them.",
	schema.SeriesFile: "For distance and meter: levels over distance, over angle, or over filters. The same place again is a repeat.",
	schema.RatioFile: "For ratio: a row a reading, with mark, role and one level. Lights read together are a sum, key+fill; lamps of one role add. " +
		"spill is what reaches the subject with its own lights off. Key to fill is key alone to fill alone; the lighting ratio is key plus fill to fill. " +
		"F-numbers are flash; those of ambient light and practicals hold for the shutter.",
	schema.LampsFile: "For plan and correct: a row a lamp, or what stands before it. An aim is a point, or pan and tilt; a level is flux, intensity, or E with at. " +
		"A cell with a range, 1.5..3.0 or 2.1 (1.5..3.0), is free for plan to solve. spill is 100 where nothing is said, and 0 behind closed doors or flags.",
	schema.GelsFile:    "For correct: the gels in your bag, a row each, with what the maker's sheet says.",
	schema.CamerasFile: "For correct: a row for each time that you set a camera by a metered light.",
	schema.DimmersFile: "For dimmer, and for whatever sets one: a row a reading of a lamp at a setting of its own dimmer, the meter at one place.",
	schema.ScreenFile:  "For screen: a row a place with its light and its luminance; a row with a stated reflectance is a card that was held there.",
	schema.SetupFile:   "For report: key, value, note; a row each of the notes for setup. Other keys are kept for people to read.",
}

func filesTold(d *document.Document) {
	d.Line("files", "Every file is a table: CSV or .xlsx, with commas, semicolons or tabs, decimal points or commas.",
		"--full says what was inferred. All errors of a file come together, with line and column.",
		"Positions are in meters unless the header, the note length unit or the cell says otherwise. A level may have a unit of its own: 116 fc.",
		"Times are 10:05, 10:05:30, 2:05 pm or 2026-03-04 10:05; plain numbers need a unit in the header.",
		"evenfall help columns has each column, evenfall help notes what may stand above the table.")
	d.Gap()
	var lines document.Lines
	for _, file := range schema.AllFiles.Files() {
		texts := []string{fileHelp[file]}
		if own := ownNames(file); own != "" {
			texts = append(texts, "Columns of its own: "+own+".")
		}
		lines = append(lines, document.Line{Key: file.String(), Texts: texts})
	}
	d.Add(document.Heading{Title: "sorts"}, lines)
	d.Gap()
	d.Add(document.Heading{Title: "a sheet as somebody typed it"}, document.Lines{{Key: "read", Texts: []string{
		"Other headers or none are understood where the table can be read in one way. The line read as says how, and what was left out.",
		"Places may be words, up left or center, in six languages. Rows and columns may be swapped.",
		"A column a light (Key lux, Fill lux) or a lamp is known. So are repeats beside each other, and heads over two rows.",
	}}, {Key: "bounds", Texts: []string{">2000, OL and Lo are bounds: the spread is at least what was read, and nothing passes. In other tables than surfaces they are left out."}},
		{Key: "in doubt", Texts: []string{"~742 and 960? count with a scatter of 5 %."}}})
	d.Gap()
	lines = nil
	for _, q := range questions {
		lines = append(lines, document.Line{Key: "--" + q.flag, Texts: []string{q.asked + " (" + q.example + ")"}})
	}
	d.Add(document.Heading{Title: "where two readings are possible it asks; a flag answers, or the note of that name"}, lines)
	d.Gap()
	d.Add(document.Heading{Title: "limits"}, limits())
}

// limits are what a file may hold at most.
func limits() document.Lines {
	var rows []string
	for _, file := range schema.AllFiles.Files() {
		if most := schema.MostRows(file); most > 0 {
			rows = append(rows, fmt.Sprintf("%s %d", file, most))
		}
	}
	return document.Lines{
		{Key: "file", Texts: []string{fmt.Sprintf("%d MB, %d notes, %d columns, %d characters in a cell. A sheet without a plain header: %d cells, %d rows.",
			infile.Most>>20, table.MostNotes, table.MostColumns, table.MostCellCharacters, table.MostTypedCells, table.MostTypedRows)}},
		{Key: "rows", Texts: []string{strings.Join(rows, ", ") + "; surface and series as many as there are, of at most " + fmt.Sprint(schema.MostLamps) + " lamps alone; " + fmt.Sprint(schema.MostLights) + " lights at a mark."}},
		{Key: "balance", Texts: []string{fmt.Sprintf("and match, where lamps are read alone at some places only: %d places and %d lamps. Together, %d million places times lamps times lamps.", schema.MostShared, schema.MostSharing, schema.MostShares/1_000_000)}},
		{Key: "screen", Texts: []string{fmt.Sprintf("spill at the first %d marks that have a distance to it.", schema.MostSpills)}},
		{Key: "plan", Texts: []string{fmt.Sprintf("%d frames, boards, flags and nets, which pass on %d lights, each lamp through each frame one; %d cells with a range; %d million looks at parts of lamps, frames and boards past what is in their way. Held to readings: %d million readings times lamps times lamps.", schema.MostShapers, schema.MostPassedOn, schema.MostFree, schema.MostLooks/1_000_000, schema.MostFitted/1_000_000)}},
	}
}

// questions are what a sheet is asked, with the flag that answers.
var questions = []struct{ flag, asked, example string }{
	{"sheet", "which sheet or table has the readings", "before"},
	{"column", "which column has the levels", "Lux"},
	{"level-unit", "the unit of levels that have none", "EV"},
	{"decimal", "whether 1,234 is about 1 or about 1000", "comma"},
	{"rows", "what 1, 2, 3 beside a grid are", "from the top"},
	{"leave-out", "whether a row is a mean or a reading", "line 12, or nothing"},
	{"repeats", "whether several readings of a place are repeats of one light", "mean"},
	{"length-unit", "the unit of positions", "cm"},
}

// ownNames are the columns that no other sort of file has.
func ownNames(file schema.File) string {
	var names []string
	for _, l := range schema.ColumnLines(file) {
		if l.In == file {
			names = append(names, l.Name)
		}
	}
	return strings.Join(names, ", ")
}

func folderTold(d *document.Document) {
	d.Line("folder", "Keep what belongs to a set-up in one folder; everything in it is optional. A command without a file takes what it needs from there and says what it read.")
	d.Gap()
	d.Add(document.Lines{
		{Key: "by name", Texts: []string{"setup, lamps, ratio, gels, cameras, dimmers and screen, as .csv or .xlsx."}},
		{Key: "by columns", Texts: []string{"Places are a survey, distances without places a series, angles or filters a check of the meter."}},
		{Key: "one survey", Texts: []string{"Files whose notes surface and date agree, and cloth-lamps.csv beside cloth.csv."}},
		{Key: "days", Texts: []string{"The same surface with another date is another day. The newest is judged, the one before it is the comparison.",
			"The key before in setup.csv names another survey or folder; match and report take two folders as well."}},
		{Key: "what to do", Texts: []string{"One list for the whole folder. It makes the surface more even; with approved: yes above an earlier day, or --intent match, it brings that day's light back."}},
		{Key: "copies", Texts: []string{"The same readings twice, in another file or pasted below, count once and are named."}},
		{Key: "photos", Texts: []string{".jpg and .webp files, or those that the key photo names, go into the report."}},
		{Key: "not read", Texts: []string{"Links, pipes, devices, names that begin with a dot, and folders within the folder.",
			"The page keeps in trims what was read while lamps were trimmed or checked, and in kept what was replaced: neither is a survey."}},
		{Key: "written", Texts: []string{"Whatever evenfall writes carries its mark. A file without it, or changed since, is replaced only with --force."}},
		{Key: "handed over", Texts: []string{"report --zip packs the folder with its report; report --verify says whether the folder is still that of a report."}},
	})
}

func verdictsTold(d *document.Document) {
	d.Line("verdicts", "A verdict is never surer than its readings: the 95 % interval of the true spread decides.")
	d.Gap()
	d.Add(document.Lines{
		{Key: "PASS", Texts: []string{"The whole interval is within the tolerance, and all planned places were read."}},
		{Key: "FAIL", Texts: []string{"All of it is beyond. That may come before all is read."}},
		{Key: "UNSURE", Texts: []string{"Neither; what would settle it is named. A reading that looks like an error makes a verdict unsure where it decides."}},
		{Key: "exit status", Texts: []string{"0 done and within tolerance, 1 done but out of tolerance or unsettled, 2 nothing done."}},
		{Key: "spread", Texts: []string{"The difference of the brightest and the darkest place in stops, in the part in shot where one is given."}},
		{Key: "edge", Texts: []string{"The spread computed out to the edge of the part in shot, where nothing is read. It changes no verdict."}},
		{Key: "scatter", Texts: []string{"From repeats, else the note repeatability, else 2 %, which is said. The display's step is inferred and counted."}},
		{Key: "color", Texts: []string{"Kelvins alone can fail, and never pass green–magenta."}},
		{Key: "how often", Texts: []string{"Wrong passes and wrong fails are each held to 2.5 %, other intervals to 5 %. The README has the rates in simulations."}},
	})
	d.Gap()
	var lines document.Lines
	for _, k := range tolerance.Kinds {
		lines = append(lines, document.Line{Key: k.Name, Texts: []string{fmt.Sprintf("%g stop, good up to %g; color %g mired and %g Duv", k.Acceptable, k.Good, k.Mired, k.Duv)}})
	}
	any := tolerance.Any
	lines = append(lines, document.Line{Key: "any other", Texts: []string{fmt.Sprintf("%g stop; color %g mired and %g Duv", any.Acceptable, any.Mired, any.Duv)}})
	d.Add(document.Heading{Title: "usual tolerances by the note for; common practice, no source"}, lines)
}

func safetyTold(d *document.Document) {
	d.Line("safety", "Local codes and licensed people come first. A computed light is an estimate: meter it before you rely on it.")
	d.Gap()
	d.Add(document.Lines{
		{Key: "height", Texts: []string{"Use rated stands with sandbags and safety bonds. Over 2 m work on a steady ladder with a second person; the meter may go on a pole."}},
		{Key: "heat", Texts: []string{"Lamps, scrims and barn doors burn: gloves, and let them cool before they move. Keep gel and diffusion at the distance that the lamp's maker gives."}},
		{Key: "mains", Texts: []string{"Distribution, dimmers and damaged cables are for licensed people. Keep loads within the rating of plug, cable and fuse."}},
		{Key: "eyes", Texts: []string{"Nobody looks into a beam, also not through a meter's finder or a lens."}},
		{Key: "flicker", Texts: []string{"Flash and flicker can harm photosensitive people; say so before you use them. Dimmed lamps may flicker."}},
	})
}
