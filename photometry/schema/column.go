package schema

import (
	"slices"

	"evenfall/photometry"
)

// Column is the declaration of a column.
type Column struct {
	Word
	Units []string // that a header may carry; the first is canonical
	// Unit is that of a column of levels; NoUnit where it has none, or where the
	// header, or else each cell, has to say.
	Unit  photometry.Unit
	Times float64 // what its numbers are multiplied by, 0 for 1: 1000 in kilolux
	Bounds
	Expected string // what a number outside of the bounds should have been
	level    bool
}

// IsLevel reports whether the column is of levels.
func (c *Column) IsLevel() bool { return c.level }

// LevelIn is the unit of the column's levels where its header carries a unit, "" for
// none, and what its numbers are multiplied by; false where the unit is not known.
func (c *Column) LevelIn(unit string) (u photometry.Unit, times float64, ok bool) {
	switch unit {
	case "":
		return c.Unit, max(1, c.Times), c.Unit != photometry.NoUnit
	case "klx":
		u, times = photometry.LX, 1000
	default:
		u, _ = photometry.ParseUnit(unit)
		times = 1
	}
	// A unit of another quantity makes no sense behind this name.
	ok = u == c.Unit && u != photometry.NoUnit || slices.Contains(c.Units, u.String())
	return u, times, ok
}

// Names in other languages that several columns share.
const (
	placeWords = "case, casella, casilla, emplacement, endroit, feld, lieu, lugar, luogo, marke, meetpunt, messpunkt, messstelle, ort, plaats, platz, plek, " +
		"posicion, positie, posizione, punkt, punt, punto, puntos, repere, sitio, stelle, ubicacion, vak"
	remarkWords = "anmerkung, anmerkungen, bemerkung, bemerkungen, chi, commentaire, commento, door, nota, notas, notiz, observacion, observaciones, opmerking, opmerkingen, " +
		"osservazioni, par, qui, quien, remarque, remarques, wer, wie"
)

// The units that go with a name.
var (
	lengths      = []string{"m", "cm", "mm", "ft", "in"}
	angles       = []string{"deg", "°"}
	percents     = []string{"%"}
	illuminances = []string{"lx", "fc", "klx"}
)

var (
	readings = SurveyFile | SeriesFile
	levels   = SurveyFile | SeriesFile | RatioFile | DimmersFile | ScreenFile
	colored  = SurveyFile | RatioFile | LampsFile | DimmersFile

	place = Bounds{Low: -FarthestM, High: FarthestM}
	above = Bounds{High: StrongestLevel, Open: true}
	parts = Bounds{High: 100}
)

// Places, times and what is read.
var (
	Label = &Column{Word: Word{Name: "label", Also: "point, points, place, places, cell, spot, square, location, position, mark, where", Abroad: placeWords,
		In: readings | ScreenFile, Only: []Names{{readings, "name"}}, Example: "A1", Help: "name of the place; A1 to E9 with the notes width and height are an even grid"}}
	MarkOf = &Column{Word: Word{Name: "mark", Also: "label, point, points, place, places, cell, spot, location, position, subject, where", Abroad: placeWords,
		In: RatioFile, Example: "puppet", Help: "where the meter stood"}}
	X = &Column{Word: Word{Name: "x", Abroad: "anchura, breedte, breite, largeur, larghezza", In: readings | LampsFile | RatioFile | ScreenFile, Only: []Names{{readings, "width"}}, Example: "1.20",
		Help: "position toward camera right, from the lower left corner of the surface"}, Units: lengths, Bounds: place, Expected: aPlace}
	Y = &Column{Word: Word{Name: "y", Abroad: "altezza, altura, hauteur, hohe, hoogte", In: readings | LampsFile | RatioFile | ScreenFile, Only: []Names{{readings, "height, high"}}, Example: "0.80",
		Help: "position up"}, Units: lengths, Bounds: place, Expected: aPlace}
	Z        = &Column{Word: Word{Name: "z", In: readings | LampsFile, Example: "2", Help: "position out of the surface toward the camera"}, Units: lengths, Bounds: place, Expected: aPlace}
	Distance = &Column{Word: Word{Name: "distance", Also: "d, dist", Abroad: "abstand, afstand, distancia, distanza, entfernung", In: readings | RatioFile | LampsFile, Only: []Names{{SeriesFile, "throw, throw distance"}}, Example: "1.5",
		Help: "from the lamp to the meter"}, Units: lengths, Bounds: Bounds{High: FarthestM, Open: true}, Expected: "a distance of more than 0, in meters"}
	Angle = &Column{Word: Word{Name: "angle", Also: "incidence, degrees, degree", Abroad: "angolo, angulo, einfallswinkel, hoek, winkel", In: readings, Example: "30", Help: "of incidence, 0 square on"}, Units: angles}
	Time  = &Column{Word: Word{Name: "time", Also: "t, clock", Abroad: "heure, hora, ora, tijd, uhrzeit, zeit", In: readings | LampsFile | RatioFile | DimmersFile | ScreenFile, Example: "10:05",
		Help: "of the reading: 10:05, 10:05:30, 2:05 pm, 2026-05-02 10:05, or a number with its unit in the header"}, Units: []string{"min", "s", "h"}}
	LampOf = &Column{Word: Word{Name: "lamp", Abroad: "lampe, leuchte, scheinwerfer, projecteur, lampara, lampada", In: readings | RatioFile | DimmersFile, Only: []Names{{readings, "light"}, {RatioFile | DimmersFile, "name"}}, Example: "cloth left",
		Help: "the lamp that was on alone; empty or all for all together"}}
	Role    = &Column{Word: Word{Name: "role", Abroad: "rolle, licht, lumiere, luz, luce", In: readings | RatioFile | LampsFile, Only: []Names{{RatioFile, "light, what"}}, Example: "key+fill", Help: "what the light does: " + RoleNames()}}
	Density = &Column{Word: Word{Name: "ND", Also: "density, neutral density, nd filter, filter", Abroad: "filtre, filtro, graufilter", In: readings, Example: "0.6", Help: "filter before the meter: a density, 2 stops or 4x"}, Units: []string{"density", "stops"}}
	Aim     = &Column{Word: Word{Name: "aim", Also: "aimed at, facing", In: RatioFile, Example: "camera", Help: "what the receptor faced"}}
	Shape   = &Column{Word: Word{Name: "receptor", In: RatioFile, Example: "dome", Help: "flat or dome"}}
	Comment = &Column{Word: Word{Name: "note", Also: "notes, remark, remarks, comment, comments, by, who, operator", Abroad: remarkWords,
		In: readings | RatioFile | LampsFile | GelsFile | CamerasFile | SetupFile | DimmersFile | ScreenFile, Example: "door open", Help: "for people to read"}}
	StatusOf = &Column{Word: Word{Name: "status", In: readings | RatioFile | DimmersFile | ScreenFile, Example: "right 96",
		Help: "what was answered about the reading: right 96 confirms a level of 96, again and out do not count, conflict is one of several first readings"}}
)

// Levels.
var (
	AnyLevel = &Column{Word: Word{Name: "level", Also: "levels, E, reading, readings, lecture, measured, measurement, meter, metered, value, values",
		Abroad: "ablesung, aflezing, helligkeit, lectura, lecturas, lettura, letture, lichtsterkte, livello, luminosite, medida, messung, messwert, mesure, meting, misura, niveau, nivel, " +
			"valeur, valor, valore, waarde, wert, werte",
		In: levels, Example: "E (lx)", Help: "level, with its unit in the header, or in ratio.csv in each cell"},
		Units: []string{"lx", "fc", "klx", "EV", "f", "cd/m²", "lx·s", "fc·s", "relative", "%"}, level: true}
	Illuminance = &Column{Word: Word{Name: "illuminance", Also: "illumination", Abroad: "beleuchtungsstarke, eclairement, illuminamento, iluminacion, iluminancia, verlichtingssterkte",
		In: levels, Example: "742", Help: "illuminance, in lx unless the header says otherwise"}, Units: illuminances, Unit: photometry.LX, level: true}
	Lux       = &Column{Word: Word{Name: "lux", Also: "lx, luxes", In: levels, Example: "742", Help: "illuminance in lx"}, Unit: photometry.LX, level: true}
	Kilolux   = &Column{Word: Word{Name: "klx", Also: "kilolux, klux", In: levels, Example: "1.2", Help: "illuminance in thousands of lx"}, Unit: photometry.LX, Times: 1000, level: true}
	Foot      = &Column{Word: Word{Name: "fc", Also: "footcandle, footcandles, foot-candles, ftc", Abroad: "candela-pie", In: levels, Example: "69", Help: "illuminance in footcandles"}, Unit: photometry.FC, level: true}
	EV        = &Column{Word: Word{Name: "EV", Abroad: "belichtungswert, lichtwert", In: levels, Example: "8.5", Help: "exposure value at the ISO speed of the notes, 100 without one"}, Unit: photometry.EV, level: true}
	FNumber   = &Column{Word: Word{Name: "f", Also: "f-number, f number, fnumber, f-stop, f stop, fstop, stop, aperture", Abroad: "apertura, blende, blendenzahl, diafragma, diaphragme, ouverture", In: levels, Only: []Names{{RatioFile, "flash"}}, Example: "5.6 7/10", Help: "f-number of flash, or with light: continuous of continuous light"}, Unit: photometry.FStop, level: true}
	Luminance = &Column{Word: Word{Name: "L", Also: "luminance, cd/m², nit, nits", In: levels, Example: "320", Help: "luminance"}, Units: []string{"cd/m²"}, Unit: photometry.CDM2, level: true}
	Exposure  = &Column{Word: Word{Name: "H", Also: "luminous exposure, lx·s, lx.s, lux seconds", In: levels, Example: "160", Help: "luminous exposure of flash"}, Units: []string{"lx·s", "fc·s"}, Unit: photometry.LXS, level: true}
	Relative  = &Column{Word: Word{Name: "relative", Also: "relative level, rel", In: levels, Example: "0.85", Help: "parts of any whole"}, Units: []string{"relative", "%"}, Unit: photometry.Plain, level: true}
	PercentOf = &Column{Word: Word{Name: "percent", In: levels, Example: "85", Help: "parts of any whole in percent"}, Unit: photometry.Percent, level: true}
)

// Color.
var (
	CCT = &Column{Word: Word{Name: "CCT", Also: "K, kelvin, kelvins, color temperature, colour temperature", Abroad: "farbtemperatur, kleurtemperatuur, temperatura de color, temperatura di colore, temperature de couleur", In: colored, Only: []Names{{RatioFile, "color, colour"}}, Example: "5600",
		Help: "correlated color temperature"}, Units: []string{"K"}}
	Mired  = &Column{Word: Word{Name: "mired", Also: "mireds, mrd", In: colored, Example: "179", Help: "color temperature in mired"}}
	Duv    = &Column{Word: Word{Name: "Duv", Also: "Δuv, D uv", In: colored, Example: "-0.003", Help: "distance from the Planckian locus, negative toward magenta"}}
	CC     = &Column{Word: Word{Name: "CC", Also: "cc index, green-magenta", In: colored, Example: "needs 1M", Help: "green or magenta that the light needs or has, in hundredths of density"}}
	CIEX   = &Column{Word: Word{Name: "cie x", In: SurveyFile | LampsFile, Example: "0.3320", Help: "chromaticity, with cie y"}}
	CIEY   = &Column{Word: Word{Name: "cie y", In: SurveyFile | LampsFile, Example: "0.3475", Help: "chromaticity, with cie x"}}
	UPrime = &Column{Word: Word{Name: "u'", In: SurveyFile | LampsFile, Example: "0.2048", Help: "CIE 1976 chromaticity, with v'"}}
	VPrime = &Column{Word: Word{Name: "v'", In: SurveyFile | LampsFile, Example: "0.4823", Help: "CIE 1976 chromaticity, with u'"}}
)

// Colors are the parts of a color.
var Colors = []*Column{CCT, Mired, Duv, CIEX, CIEY, UPrime, VPrime, CC}

// IsColor reports whether the column is a part of a color.
func (c *Column) IsColor() bool { return slices.Contains(Colors, c) }
