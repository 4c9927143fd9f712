package schema

import (
	"slices"
	"strings"
)

// lampColumn is a column of lamps.csv with a figure.
func lampColumn(name, also string, units []string, b Bounds, expected, help string) *Column {
	return &Column{Word: Word{Name: name, Also: also, In: LampsFile, Help: help}, Units: units, Bounds: b, Expected: expected}
}

// words is a column with words of a sort of file; names in other languages stand behind a
// bar.
func words(in File, name, also, help string) *Column {
	also, abroad, _ := strings.Cut(also, " | ")
	return &Column{Word: Word{Name: name, Also: also, Abroad: abroad, In: in, Help: help}}
}

const aPlace = "a place within 10 km of the surface, in meters"

// Columns are all columns, in the order of help.
var Columns = slices.Concat(
	[]*Column{
		words(SetupFile, "key", "name", "what the value is"), words(SetupFile, "value", "", "its value"),
		words(CamerasFile, "camera", "name | kamera, telecamera, camara", "the camera"),
		words(GelsFile, "name", "gel, filter | folie, gelatine, gelatina, filtre, filtro", "the gel"), words(GelsFile, "kind", "type | art, typ, genre, tipo, soort", "CTO, CTB, plus green, minus green, CC, ND or other"),
		words(LampsFile, "name", "lamp, light, fixture | lampe, leuchte, scheinwerfer, projecteur, lampara, foco, lampada, faro, armatuur", "the lamp, frame, board or flag"), words(LampsFile, "kind", "type | art, typ, genre, tipo, soort", "point, disc, panel, frame, bounce, flag, net or file"),
		words(LampsFile, "label", "place, point", "its name, where it is metered at a place"),
	},
	[]*Column{Label, MarkOf, Role, LampOf, X, Y, Z, Distance, Angle, Time, Density},
	[]*Column{AnyLevel, Illuminance, Lux, Kilolux, Foot, EV, FNumber, Luminance, Exposure, Relative, PercentOf, Shape, Aim, StatusOf},
	lampColumns,
	[]*Column{CCT, Mired, Duv, CC, CIEX, CIEY, UPrime, VPrime},
	otherColumns,
	[]*Column{Comment},
)

var lampColumns = []*Column{
	lampColumn("aim x", "", lengths, place, aPlace, "the point that it is aimed at"),
	lampColumn("aim y", "", lengths, place, aPlace, "the same, up"),
	lampColumn("aim z", "", lengths, place, aPlace, "the same, toward the camera"),
	lampColumn("flux", "", []string{"lm"}, above, "more than 0 lm, at most a billion", "luminous flux at full"),
	lampColumn("intensity", "", []string{"cd"}, above, "more than 0 cd, at most a billion", "luminous intensity on the axis at full"),
	lampColumn("E", "lux, lx, illuminance, level", []string{"lx"}, above, "more than 0 lx, at most a billion", "illuminance on the axis at a distance; in lx unless the header says otherwise"),
	lampColumn("E (fc)", "fc, footcandle, footcandles, E fc, E [fc], E (footcandles), level (fc), level [fc], level fc", nil, Bounds{High: 1e8, Open: true}, "more than 0 fc, at most 100 million", "the same in footcandles"),
	lampColumn("at", "", lengths, Bounds{High: FarthestM, Open: true}, "a distance of more than 0", "the distance of that illuminance"),
	words(LampsFile, "E at", "E (lx) at (m), E [lx] at [m], E (lx) at", "both in one cell: 1200 at 3"),
	lampColumn("beam", "beam angle", angles, Bounds{High: 179.999, Open: true}, "more than 0 and less than 180 degrees, from half intensity to half intensity", "beam angle between half intensities"),
	lampColumn("source width", "width", lengths, Bounds{High: 1e3, Open: true}, "a width of more than 0", "width of what shines"),
	lampColumn("source height", "height", lengths, Bounds{High: 1e3, Open: true}, "a height of more than 0", "its height"),
	lampColumn("stand height", "stand", lengths, Bounds{High: 1e3}, "a height of 0 or more", "how high the stand is run out"),
	lampColumn("pan", "", angles, Bounds{Low: -360, High: 360}, "degrees from -360 to 360, 0 straight at the surface and positive toward camera right", "pan, 0 straight at the surface, positive toward camera right"),
	lampColumn("tilt", "", angles, Bounds{Low: -90, High: 90}, "degrees from -90 (down) to 90 (up)", "tilt, positive up"),
	{Word: Word{Name: "dimmer", Also: "dim", In: LampsFile | DimmersFile, Only: []Names{{DimmersFile, "dial, knob, setting, fader, output, intensity, dim level, dimmer level, dimmer setting, fader level"}}, Help: "share of its full light"}, Units: percents, Bounds: parts, Expected: "0 to 100 %"},
	words(LampsFile, "behind", "lit by", "of a frame or bounce: the lamp that lights it"),
	lampColumn("transmission", "", percents, parts, "0 to 100 %", "of a frame or net: what passes"),
	lampColumn("undiffused", "", percents, parts, "0 to 100 % of what the diffusion lets through", "of a frame: what of that goes straight on"),
	lampColumn("lobe m", "lobe", nil, Bounds{High: 1000}, "an exponent of 0 or more: 1 for full diffusion, more for a narrower lobe", "of a frame: exponent of the lobe, 1 for full diffusion"),
	lampColumn("spill", "", percents, parts, "0 to 100 % of its lamp's light that passes beside the frame", "of a frame: what of its lamp's light past it still reaches the set"),
	{Word: Word{Name: "reflectance", In: LampsFile | ScreenFile, Help: "of a bounce, or as a card states it"}, Units: percents, Bounds: parts, Expected: "0 to 100 %"},
	words(LampsFile, "material", "", "of a frame or bounce: its figures by name"),
	lampColumn("rotate", "", angles, Bounds{Low: -360, High: 360}, "degrees from -360 to 360", "turn about its axis"),
	words(LampsFile, "file", "", "photometric file after LM-63"),
	lampColumn("power", "watts", []string{"W"}, Bounds{High: 1e9}, "0 W or more, at most a billion", "electric power"),
	words(LampsFile, "spot or flood", "spot/flood, spot-flood, spot, flood, focus", "as it was set: spot, flood, 7 of 10"),
	words(LampsFile, "scrims", "scrim", "the scrims in it"),
	words(LampsFile, "diffusion", "diffuser", "the diffusion on it"),
	words(LampsFile, "gel", "gels", "the gels on it"),
	words(LampsFile, "trim", "", "as it was left: -1/3 stop, 4.2 on the knob"),
}

var otherColumns = []*Column{
	{Word: Word{Name: "to screen", Also: "to the screen, screen distance", In: RatioFile, Example: "3.2", Help: "from the mark straight to the screen behind it"}, Units: lengths,
		Bounds: Bounds{High: FarthestM, Open: true}, Expected: "a distance before the screen of more than 0, in meters"},
	words(DimmersFile, "flicker", "flickers, flicker seen", "yes or no: whether the camera or a person sees it flicker there"),
	words(GelsFile, "mired", "mired shift, shift, mireds", "shift in mired, positive warms"),
	words(GelsFile, "CC", "cc points, green-magenta", "strength in CC points with its color, 30G or 15M"),
	{Word: Word{Name: "transmission", Also: "transmittance, passes", Abroad: "durchlass, durchlassigkeit, transmissie, transmision, trasmissione", In: GelsFile, Help: "luminous transmittance"}, Units: percents, Bounds: parts, Expected: "0 to 100 %"},
	words(GelsFile, "cie x", "x", "chromaticity of the source behind the gel, with cie y"),
	words(GelsFile, "cie y", "y", "the same, with cie x"),
	words(GelsFile, "source", "light source, illuminant", "the light that the figures are for"),
	words(CamerasFile, "measured K", "measured (K), measured [K], measured CCT, measured CCT (K), measured, meter K, meter | gemessen, gemessen K, mesure, mesure K, medido, misurato, gemeten", "what the meter read"),
	words(CamerasFile, "measured Duv", "meter Duv, Duv", "its Duv"),
	words(CamerasFile, "camera K", "camera (K), camera [K], camera CCT, camera CCT (K), setting K, setting (K), set to, set to K | eingestellt, eingestellt K, regle, ajustado, impostato, ingesteld", "where the camera renders white neutral"),
	{Word: Word{Name: "camera tint", Also: "tint", In: CamerasFile, Help: "its tint, positive toward magenta"},
		Bounds: Bounds{Low: -1000, High: 1000}, Expected: "a tint in the camera's own units, from -1000 to 1000"},
}
