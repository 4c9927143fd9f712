package schema

import (
	"evenfall/photometry"
	"evenfall/photometry/ratio"
)

const (
	measured = SurveyFile | SeriesFile | RatioFile // files of readings
	metered  = measured | DimmersFile | ScreenFile // files that say how a meter read
	surfaces = SurveyFile | LampsFile              // that describe a surface, read or planned
	// typedFiles are those that may be sheets as people type them.
	typedFiles = measured | LampsFile | GelsFile | CamerasFile
)

// What the steps of a folder are for.
const (
	IntentMatch   = "match"
	IntentImprove = "improve"
)

// What it is of.
var (
	Title = &Note[string]{Word: Word{Name: "surface", Also: "title, production, film", In: metered | LampsFile | SetupFile,
		Only:    []Names{{measured | LampsFile, "name"}},
		Example: "green cloth", Help: "a title: what was lit", OfSheet: true}, parse: asWritten}
	Scene = &Note[string]{Word: Word{Name: "scene", In: RatioFile | SetupFile, Example: "12", Help: "the scene, added to the title"}, parse: asWritten}
	Date  = &Note[string]{Word: Word{Name: "date", Also: "day", Abroad: "datum, fecha, data", In: metered | LampsFile | SetupFile,
		Example: "2026-05-02", Help: "the day; files of one surface and day are one survey", OfSheet: true}, parse: date}
	Operator = &Note[string]{Word: Word{Name: "operator", Also: "read by, measured by, metered by", Abroad: "bediener, gemessen von, operateur, operatrice, mesure par, operador, operadora, medido por, operatore, misurato da, gemeten door",
		In: SurveyFile | RatioFile, Example: "second assistant", Help: "who took the readings", Many: true}, parse: asWritten}
	Location = &Note[string]{Word: Word{Name: "location", Also: "venue", Abroad: "drehort, spielort, locatie", In: SurveyFile | RatioFile, Example: "stage 2",
		Help: "where they were taken", Many: true}, parse: asWritten}
	Lamp = &Note[string]{Word: Word{Name: "lamp", In: SurveyFile | SeriesFile | DimmersFile, Example: "cloth left",
		Help: "the lamp that all readings of the file are of", OfSheet: true}, parse: asWritten}
	Mark     = &Note[string]{Word: Word{Name: "mark", In: RatioFile | SetupFile, Example: "puppet", Help: "the mark of rows that name none"}, parse: asWritten}
	Camera   = &Note[string]{Word: Word{Name: "camera", In: SetupFile, Example: "A", Help: "the camera"}, parse: asWritten}
	Remark   = &Note[string]{Word: Word{Name: "notes", Also: "note, remarks", In: SetupFile, Example: "doors closed", Help: "for people to read"}, parse: asWritten}
	Before   = &Note[string]{Word: Word{Name: "before", Also: "day before", In: SetupFile, Example: "../day-1", Help: "the folder or survey of the day to match"}, parse: asWritten}
	Approved = &Note[string]{Word: Word{Name: "approved", In: SurveyFile | SetupFile, Example: "2026-05-02",
		Help: "yes: the light of this day is to be had again; in setup.csv its `date`; no: not yet"}, parse: approval}
	Intent = &Note[string]{Word: Word{Name: "intent", In: SetupFile, Example: "match", Help: "what the list of steps is `for`: match an earlier day, or improve", Values: "match improve"},
		parse: choice("match or improve", map[string]string{IntentMatch: IntentMatch, IntentImprove: IntentImprove})}
	Photos = &Note[[]string]{Word: Word{Name: "photo", Also: "photos", In: SetupFile, Example: "stage.jpg", Help: "file names, several with semicolons or as photo 1, photo 2", Many: true},
		parse: files}
)

// What is asked of it.
var (
	For = &Note[string]{Word: Word{Name: "for", Also: "kind", In: measured | LampsFile, Example: "screen",
		Help: "the kind of `surface`, with its usual tolerance: screen, cyc, backdrop, artwork", Values: "screen cyc backdrop artwork"}, parse: asWritten}
	Tolerant = &Note[Tolerance]{Word: Word{Name: "tolerance", In: measured | LampsFile, Example: "0.5 stop",
		Help: "how far levels may run, in `stops`: in all, or with ± on each side of the reference or target"}, parse: tolerance}
	ColorTolerant = &Note[ColorTolerance]{Word: Word{Name: "color tolerance", Also: "colour tolerance", In: surfaces, Example: "10 mired, 0.003 Duv",
		Help: "how far `color` may run from the reference, in mired and Duv"}, parse: colorTolerance}
	Area = &Note[[4]float64]{Word: Word{Name: "area", In: surfaces | ScreenFile, Example: "0.6,0.3,4.2,2.2",
		Help: "the part in shot, `x0,y0,x1,y1`; where it is set it decides"}, parse: area}
	ReferenceAt = &Note[Reference]{Word: Word{Name: "reference", In: SurveyFile, Example: "C5",
		Help: "the `place` that counts as zero, a label or x,y, read again and again"}, parse: reference}
	Target = &Note[ratio.Target]{Word: Word{Name: "target", Also: "ratio", In: RatioFile, Example: "4:1 key to fill",
		Help: "the wanted `ratio`, such as 4:1, 4:1 lighting ratio or 2 stops; key to fill unless it says otherwise"}, parse: func(text string, c Context) (ratio.Target, error) { return ratio.ParseTarget(text, c.number) }}
	ExposeFor = &Note[ratio.Role]{Word: Word{Name: "expose for", Also: "exposure for", In: RatioFile, Example: "key",
		Help: "the `light` to expose for, key+fill without it", Values: roleWords()}, parse: exposeFor}
	TargetKelvin = &Note[float64]{Word: Word{Name: "target K", Also: "target, target CCT, white balance", In: SetupFile, Example: "5600",
		Help: "the color temperature that the camera is balanced to"},
		parse: within(Bounds{Low: WarmestK, High: CoolestK}, "a color temperature such as 5600 (K)", number("K"))}
)

// TargetRoles are the roles of lights that may have a wanted level against the key,
// and Targets the notes of it.
var (
	TargetRoles = []ratio.Role{ratio.BackgroundRole, ratio.BackRole, ratio.HairRole, ratio.KickerRole, ratio.ScreenRole, ratio.PracticalRole, ratio.AmbientRole, ratio.SpillRole}
	Targets     = areaTargets()
)

func areaTargets() map[ratio.Role]*Note[float64] {
	targets := map[ratio.Role]*Note[float64]{}
	for _, role := range TargetRoles {
		help, example := "wanted level of the "+string(role)+" in `stops` from the key", "-1 stop"
		switch role {
		case ratio.SpillRole:
			help, example = "the most that may spill on the subject, in `stops` from the key", "-4 stops"
		case ratio.AmbientRole:
			help = "wanted level of ambient light in `stops` from the key"
		case ratio.HairRole, ratio.BackRole:
			help = "wanted level of the " + string(role) + " light in `stops` from the key"
		}
		targets[role] = &Note[float64]{Word: Word{Name: string(role) + " target", In: RatioFile, Example: example, Help: help},
			parse: within(Bounds{Low: -MostStops, High: MostStops}, "stops from the key, such as -1 or +1/2 stop", stops)}
	}
	return targets
}

// How large it is and how it was read.
var (
	Width  = &Note[float64]{Word: Word{Name: "width", In: surfaces | ScreenFile, Example: "4.8 m", Help: "width of the surface"}, parse: within(side, "a width above zero such as 4.8 m", length)}
	Height = &Note[float64]{Word: Word{Name: "height", In: surfaces | ScreenFile, Example: "2.4 m", Help: "height of the surface"}, parse: within(side, "a height above zero such as 4.8 m", length)}
	GridOf = &Note[Grid]{Word: Word{Name: "grid", In: SurveyFile, Example: "edges",
		Help: "edges: outer places on the border, not at cell centers; 9x5: how many places across and up"}, parse: grid}
	LengthUnit = &Note[string]{Word: Word{Name: "length unit", In: measured | LampsFile | ScreenFile, Example: "ft", Help: "unit of lengths without one: m, cm, mm, ft, in", Values: "m cm mm ft in"},
		parse: lengthUnit}
	FloorY = &Note[float64]{Word: Word{Name: "floor y", In: LampsFile | SetupFile, Example: "-0.8 m", Help: "`height` of the floor above the surface's lower edge, as a rule below it"},
		parse: within(Bounds{Low: -FarthestM, High: FarthestM}, "a height such as -0.8 (m), 80 cm or -2.5 ft", length)}
	Repeatability = &Note[float64]{Word: Word{Name: "repeatability", In: metered, Example: "2 %",
		Help: "of one reading to the next in `percent`, not the accuracy of the meter"},
		parse: within(Bounds{High: 0.5, Open: true}, "a repeatability over 0 in percent, such as 2 %", percent)}
	Resolution = &Note[float64]{Word: Word{Name: "resolution", In: metered, Example: "0.1 stop", Help: "the step of the meter's display in `stops`"},
		parse: within(Bounds{High: 2}, "a resolution in stops such as 0.1 stop", namedStops)}
	Receptor = &Note[photometry.Receptor]{Word: Word{Name: "receptor", In: metered | LampsFile, Example: "dome", Help: "`shape` of the receptor, flat or dome", Values: "flat dome"},
		parse: func(text string, _ Context) (photometry.Receptor, error) { return photometry.ParseReceptor(text) }}
	Tape = &Note[bool]{Word: Word{Name: "tape", In: SeriesFile, Example: "checked",
		Help: "whether the tape's `zero` was checked to a centimeter to be where the light starts (frame, panel, bare lamp; no lens)", Values: "checked unchecked"},
		parse: choice("checked or unchecked", map[string]bool{"checked": true, "unchecked": false})}
	Constant = &Note[float64]{Word: Word{Name: "constant", In: measured | LampsFile, Example: "250", Help: "calibration constant `C` in place of ISO 2720's"},
		parse: within(Bounds{High: 1e6, Open: true}, "a calibration constant such as 250", number())}
	Continuous = &Note[bool]{Word: Word{Name: "light", In: metered | LampsFile, Example: "continuous", Help: "`how` f-numbers are meant, flash or continuous", Values: "flash continuous"},
		parse: choice("continuous or flash", map[string]bool{"continuous": true, "constant": true, "flash": false})}
	FStops = &Note[photometry.Series]{Word: Word{Name: "marks", In: metered, Example: "half", Help: "`series` that marked f-numbers belong to, third or half", Values: "third half full"},
		parse: choice("third or half", map[string]photometry.Series{"third": photometry.Thirds, "thirds": photometry.Thirds, "1/3": photometry.Thirds,
			"half": photometry.Halves, "halves": photometry.Halves, "1/2": photometry.Halves, "full": photometry.Full})}
	MeterName = &Note[string]{Word: Word{Name: "meter", In: SurveyFile | RatioFile, Example: "second meter",
		Help: "which meter was read, by any `name`; where two days note the same one, match compares their colors closely"}, parse: asWritten}
	MeterISO = &Note[float64]{Word: Word{Name: "meter iso", Also: "read at iso", In: metered, Example: "400", Help: "ISO `speed` that f-numbers and EV were read at, where it is not the camera's"},
		parse: speed}
	MeterShutter = &Note[float64]{Word: Word{Name: "meter shutter", Also: "read at shutter", In: metered, Example: "1/50",
		Help: "`shutter` that f-numbers of continuous light were read at, where it is not the camera's"}, parse: shutter}
)

var speed = within(Bounds{Low: 1, High: FastestISO}, "an ISO speed such as 800", number("ISO", "EI"))

// What is meant where a sheet can be read in several ways.
var (
	SheetOf   = &Note[string]{Word: Word{Name: "sheet", Also: "table", In: typedFiles, Example: "before", Help: "which `sheet` or table holds the readings, where there are several", OfSheet: true}, parse: asWritten}
	ColumnOf  = &Note[string]{Word: Word{Name: "column", In: measured, Example: "Lux", Help: "the `column` of levels, by its header, where there are several", OfSheet: true}, parse: asWritten}
	LevelUnit = &Note[photometry.Unit]{Word: Word{Name: "level unit", In: measured, Example: "lx", Help: "`unit` of levels without one: lx, fc, EV, f", Values: "lx fc EV f", OfSheet: true},
		parse: levelUnit}
	DecimalSign = &Note[string]{Word: Word{Name: "decimal", In: typedFiles, Example: "comma", Help: "the decimal `sign`, point or comma, where 1,234 can be either", Values: "point comma", OfSheet: true},
		parse: choice("point or comma", map[string]string{"point": "point", "comma": "comma", ".": "point", ",": "comma"})}
	RowsFrom = &Note[string]{Word: Word{Name: "rows", In: SurveyFile, Example: "from the top", Help: "`what` 1, 2, 3 beside a grid are: rows from the top, or lengths from below", Values: "top below", OfSheet: true},
		parse: choice("from the top or from below", map[string]string{"from the top": "top", "top": "top", "from below": "below", "below": "below"})}
	LeaveOut   = &Note[string]{Word: Word{Name: "leave out", In: measured, Example: "line 12", Help: "`rows` that are no readings, as line 12 or by their place, with semicolons between; nothing where all are", OfSheet: true}, parse: asWritten}
	RepeatsAre = &Note[string]{Word: Word{Name: "repeats", In: SurveyFile, Example: "mean", Help: "mean: `several` readings of a place are repeats, though they differ", Values: "mean", OfSheet: true},
		parse: choice("mean", map[string]string{"mean": "mean"})}
)

// How the camera is set.
var (
	ISO = &Note[float64]{Word: Word{Name: "iso", Also: "speed, EI", In: metered | LampsFile | SetupFile, Example: "800", Help: "ISO `speed` of the camera"},
		parse: speed}
	FrameRate = &Note[float64]{Word: Word{Name: "frame rate", Also: "fps, frames a second", In: metered | LampsFile | SetupFile, Example: "24",
		Help: "`frames` a second; a 180° shutter where none is given"},
		parse: within(Bounds{Low: 0.01, High: 1e6}, "frames a second such as 24", number("frames a second", "frames per second", "fps", "/s"))}
	Shutter = &Note[float64]{Word: Word{Name: "shutter", Also: "shutter angle", In: metered | LampsFile | SetupFile, Example: "1/50",
		Help: "shutter `time` such as 1/48, or an angle such as 180° with a frame rate"}, parse: shutter}
	ND           = &Note[float64]{Word: Word{Name: "ND", In: RatioFile | SetupFile, Example: "0.6", Help: "neutral `density` on the lens: 0.6 (0.3 a stop), 2 stops or 4x"}, parse: density}
	FilterFactor = &Note[float64]{Word: Word{Name: "filter factor", In: RatioFile | SetupFile, Example: "2", Help: "`factor` of other filters on the lens, 2 is a stop"},
		parse: within(Bounds{Low: 1, High: 1e6}, "a filter factor of 1 or more, 2 for a stop", number("x", "×"))}
	Transmittance = &Note[float64]{Word: Word{Name: "transmittance", Also: "transmission", In: RatioFile, Example: "80 %",
		Help: "of the `lens`, to separate its f-number from its T-stop"},
		parse: within(Bounds{High: 1, Open: true}, "the lens's transmittance such as 0.8 or 80 %", share)}
	TStop = &Note[float64]{Word: Word{Name: "t-stop", Also: "t stop, stop, f-stop, aperture", In: RatioFile | SetupFile, Example: "T4",
		Help: "`stop` that the lens is set to: for how far over or under each mark is"}, parse: lensStop}
	Mains = &Note[float64]{Word: Word{Name: "mains", Also: "mains frequency", In: RatioFile | SetupFile, Example: "50 Hz",
		Help: "mains `frequency` in Hz for flicker, both 50 and 60 without it", Values: "50Hz 60Hz"},
		// From the 16.7 Hz of railways to the 400 Hz of aircraft: from memory.
		parse: within(Bounds{Low: 16, High: 400}, "the mains' frequency, 50 Hz or 60 Hz", number("Hz"))}
)

// Notes are all of them, in the order of help.
var Notes = allNotes()

func allNotes() []Declared {
	notes := []Declared{Title, Scene, Date, Operator, Location, Mark, Lamp, For, Tolerant, ColorTolerant, ReferenceAt, Area, Width, Height, GridOf, LengthUnit, SheetOf, ColumnOf, LevelUnit, DecimalSign, RowsFrom, LeaveOut, RepeatsAre, FloorY,
		Repeatability, Resolution, Receptor, Tape, Constant, Continuous, FStops, MeterName, MeterISO, MeterShutter,
		ISO, FrameRate, Shutter, ND, FilterFactor, Transmittance, TStop, Mains, Target, ExposeFor}
	for _, role := range TargetRoles {
		notes = append(notes, Targets[role])
	}
	return append(notes, TargetKelvin, Camera, Before, Approved, Intent, Photos, Remark)
}

// roleWords are the roles and the usual sum.
func roleWords() string {
	words := "key+fill"
	for _, r := range ratio.Roles {
		words += " " + string(r)
	}
	return words
}
