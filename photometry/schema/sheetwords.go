package schema

import (
	"slices"
	"strings"
	"sync"
	"unicode"

	"evenfall/photometry/table"
)

// WordClass is what a word in a sheet may mean, as a set of bits.
type WordClass uint64

// The classes of words. A word may be of several: “middle” is a place, “Mittel” a mean.
const (
	SummaryWord      WordClass = 1 << iota // of a row or column that sums up others
	SummaryCompanion                       // that may be beside such a word
	MeanWord                               // of those the means and sums
	PlaceTop
	PlaceLeft
	PlaceRight
	PlaceMiddle
	PlaceBottom
	PlaceBack
	PlaceFront
	PlaceFiller // without weight in the name of a place
	PlaceOther  // that makes another place of it, such as corner
	FromLeftWord
	UpDownWord
	RowWord
	ColumnWord
	IndexWord
	DateWord
	OrdinalWord
	ReferenceWord // of the place that is read again and again
	StageWord     // sides are the actor's, mirrored to the camera's
	LevelColumnWord
	LuxWord
	FootcandleWord
	KiloluxWord
	EVWord
	FNumberWord
	RelativeWord
	LabelColumnWord
	DistanceWord
	WidthWord
	HeightWord
	TimeWord
	RemarkWord
	ColorWord
	LampWord
	NotReadWord
	OverWord
	UnderWord
	StateWord // of a state of the light, or of another light: only, both, ambient, yesterday
	DoubtWord // beside a level that is not sure
)

// PlaceWord is any word of a place that has a side.
const PlaceWord = PlaceTop | PlaceLeft | PlaceRight | PlaceMiddle | PlaceBottom | PlaceBack | PlaceFront

// UnitWord is any word for a unit of levels.
const UnitWord = LuxWord | FootcandleWord | KiloluxWord | EVWord | FNumberWord | RelativeWord

// sheetWords are the words of sheets in English, German, French, Spanish, Italian and
// Dutch, folded. Names of columns come from their declarations.
var sheetWords = []struct {
	class WordClass
	words string
}{
	{SummaryWord, `ø std dev aantal abweichung afwijking anzahl ave average averages avg cantidad cible consigne count desviacion deviation doel durchschn durchschnitt ecart evenness
		gelijkmatigheid gem gemiddelde gesamt gesamtsumme gleichmassigkeit goal massimo max maxi maximo maximum mean means media mediaan median mediana mediane meta min mini
		minimo minimum mittel mittelwert moy moyenne mw obiettivo objetivo promedio ratio scarto schnitt sd soll sollwert som somma somme spannweite spread spreiding
		standardabweichung stdev streefwaarde subtotal sum suma summe target totaal total totale totals uniformidad uniformita uniformite uniformity wanted ziel
		difference diff delta range stdabw highest lowest brightest darkest u0 uo`},
	{LampWord, `lampe lampa lampada lampadina lampara foco faretto scheinwerfer projecteur fixture`},
	{SummaryCompanion, `a all alle aller and colonna colonne column columna columns das de del della der des die du e et ev fc fila gesamt in kolom la le les ligne lux lx of over
		overall rangee reading readings reihe riga rij row rows spalte the todo todos tous type und valeur valor valore value van waarde wert y zeile level levels values std dev per by`},
	{MeanWord, `ø average averages avg ave durchschnitt gem gemiddelde gesamt gesamtsumme mean means media mittel mittelwert moy moyenne mw promedio schnitt somma somme subtotal sum suma
		summe totaal total totale totals`},
	{PlaceTop, `alto arriba boven bovenaan bovenste haut linksboven lointain oben ober obere oberer oberes rechtsboven sopra su superieur superieure superior high hoog tc tl top tr up upper upstage us usc
		usl usr obenlinks obenrechts`},
	{PlaceLeft, `bl dsl gauche izquierda izquierdo jardin left linke linker linkes links linksboven linksonder sinistra sinistro sl tl usl l lh ml obenlinks untenlinks cl`},
	{PlaceRight, `br cour derecha derecho destra destro droite dsr rechte rechter rechtes rechts rechtsboven rechtsonder right sr tr usr r rh mr obenrechts untenrechts cr`},
	{PlaceMiddle, `center central centre centro dsc medio mezzo mid middelste midden middle milieu mitad mitte mittig mittlere mittlerer ms usc c ctr cs tc bc ml mr cl cr mc cc halfway`},
	{PlaceBottom, `bot btm abajo bas basso bc beneden bl bottom br down downstage ds dsc dsl dsr face giu inferieur inferieure inferior linksonder low lower onder onderaan onderste rechtsonder sotto unten
		unter untere unterer unteres untenlinks untenrechts`},
	{PlaceBack, `achter achteraan achterste arriere atras back detras dietro fond fondo hinten hinter hinterer rear retro`},
	{PlaceFront, `avant avanti davanti delante devant front voor vooraan voorste vorderer vorn vorne`},
	{PlaceFiller, `cam kamera camara telecamera house a al alla allo at bei buhne camera de del du en escena fila in of on rang reihe riga rij row scena scene stage the to un zeile zu le la side hand cote lato seite kant and y e et und`},
	{PlaceOther, `angolo aussen bit bord borde bordo coin corner ecke edge esquina far ganz halb half hoek innen inner outer little near quarter rand third very`},
	{StageWord, `stage sl sr usl usr dsl dsr`},
	{FromLeftWord, `across gauche horizontal izquierda left links right sinistra`},
	{UpDownWord, `up oben boven arriba sopra upward height alto haut hoch abajo bas basso boden bottom floor onder sol suelo terra top unten vertical vloer ground`},
	{RowWord, `fila ligne rang rangee reihe riga rij row zeile`},
	{ColumnWord, `col colonna colonne column columna kolom spalte`},
	{IndexWord, `id index n no nr num number numero nummer lfd`},
	{DateWord, `data date datum day fecha tag jour dia giorno dag`},
	{StateWord, `lamps lampen lampes lamparas luci only both on off alone ambient unlit lit key fill together combined before after yesterday today tomorrow morning afternoon evening night mon tue wed thu fri sat sun
		monday tuesday wednesday thursday friday saturday sunday
		jan feb mar apr may jun jul aug sep sept oct nov dec january february march april june july august september october november december nur beide allein vorher nachher gestern heute montag dienstag mittwoch donnerstag freitag samstag sonntag seulement
		lundi mardi mercredi jeudi vendredi matin soir antes despues ayer hoy ambos solo mattina sera ieri oggi entrambi alleen gisteren vandaag umgebung raumlicht`},
	{DoubtWord, `approx approximately about ca circa roughly unsure uncertain doubtful guess guessed estimate estimated est env environ approximatif incertain douteux etwa ungefahr
		unsicher geschatzt zirka aprox aproximado dudoso estimado incerto dubbio stimato ongeveer onzeker geschat`},
	{OrdinalWord, `1st 2nd 3rd 4th 5th dritte erste first pass round run second take third try zweite again repeat repeated nochmal wiederholt wiederholung encore bis vez otra ancora opnieuw herhaling lecture messung mesure lectura lettura meting reading`},
	{ReferenceWord, `ref reference referenz referencia riferimento referentie`},
}

// classColumns are the columns whose names, one word each, are words of a class.
var classColumns = []struct {
	class   WordClass
	columns []*Column
}{
	{LevelColumnWord, []*Column{AnyLevel, Illuminance}}, {LuxWord, []*Column{Lux}}, {FootcandleWord, []*Column{Foot}}, {KiloluxWord, []*Column{Kilolux}}, {EVWord, []*Column{EV}},
	{FNumberWord, []*Column{FNumber}}, {RelativeWord, []*Column{Relative, PercentOf}}, {LabelColumnWord, []*Column{Label}}, {DistanceWord, []*Column{Distance}}, {WidthWord, []*Column{X}},
	{HeightWord, []*Column{Y}}, {TimeWord, []*Column{Time}}, {RemarkWord, []*Column{Comment}}, {ColorWord, []*Column{CCT, Mired, Duv, CC}}, {LampWord, []*Column{LampOf}},
}

// phrases are what cells without a reading have, as a whole.
var phrases = map[WordClass]string{
	NotReadWord: `-|--|---|.|..|?|falta|fehlt|forgot|forgotten|k.a.|kein|keine|manca|manque|missing|n.b.|n.d.|n/a|na|nd|nicht gelesen|nicht gemessen|niet gelezen|niet gemeten|no medido|no reading|
		|non letto|non lu|non mesure|non misurato|none|not measured|not read|nvt|ontbreekt|s/l|sin leer|skipped|x|–|—|not taken|tbd|n.v.t.|unread|skip`,
	OverWord:  `hi|o.l.|ol|o/l|0l|over|over-range|over range|overflow|overload|overrange|uberlauf|e:o`,
	UnderWord: `lo|low|under|under-range|under range|underrange`,
}

var wordClasses = sync.OnceValue(func() map[string]WordClass {
	classes := map[string]WordClass{}
	for _, list := range sheetWords {
		for _, word := range strings.Fields(list.words) {
			classes[word] |= list.class
		}
	}
	for _, list := range classColumns {
		for _, c := range list.columns {
			for _, name := range append(c.names(SurveyFile), c.Name) {
				// A single letter is a name by itself, not a word among others.
				if name = table.Fold(name); len(name) > 1 && !strings.Contains(name, " ") {
					classes[name] |= list.class
				}
			}
		}
	}
	return classes
})

var phraseClasses = sync.OnceValue(func() map[string]WordClass {
	classes := map[string]WordClass{}
	for class, list := range phrases {
		for phrase := range strings.SplitSeq(list, "|") {
			classes[strings.TrimSpace(phrase)] |= class
		}
	}
	delete(classes, "")
	return classes
})

// ClassOf is what a word may mean, 0 for nothing known. The word is folded as by
// table.Fold.
func ClassOf(word string) WordClass { return wordClasses()[word] }

// HasWord reports whether one of the words of a text may be of a class.
func HasWord(text string, class WordClass) bool {
	return slices.ContainsFunc(Words(text), func(t string) bool { return ClassOf(t)&class != 0 })
}

// ClassOfCell is what a cell without a number says instead: not read, over or under
// range; 0 for anything else.
func ClassOfCell(text string) WordClass {
	return phraseClasses()[strings.TrimRight(table.Fold(text), "!")]
}

// Words are the words of a text, folded: runs of letters and digits.
func Words(text string) []string {
	return strings.FieldsFunc(table.Fold(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}
