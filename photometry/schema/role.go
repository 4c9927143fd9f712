package schema

import (
	"slices"
	"strings"

	"evenfall/photometry/ratio"
	"evenfall/photometry/table"
)

// roles are the roles of lights with the other words for them.
var roles = []table.Field{
	{Name: string(ratio.KeyRole), Aliases: []string{"key light", "keylight", "main light", "fuhrung", "fuhrungslicht", "hauptlicht", "principale", "principal", "chiave", "hoofdlicht"}},
	{Name: string(ratio.FillRole), Aliases: []string{"fill light", "filllight", "fill-in", "aufhellung", "aufheller", "aufhelllicht", "remplissage", "debouchage", "relleno", "riempimento", "invullicht", "invulling"}},
	{Name: string(ratio.BackRole), Aliases: []string{"back light", "backlight", "rim", "rim light", "gegenlicht", "contre-jour", "contre", "contraluz", "controluce", "tegenlicht"}},
	{Name: string(ratio.HairRole), Aliases: []string{"hair light", "haarlicht"}},
	{Name: string(ratio.KickerRole), Aliases: []string{"kicker light", "kick", "streiflicht"}},
	{Name: string(ratio.BackgroundRole), Aliases: []string{"background light", "backdrop", "bg", "hintergrund", "fond", "fondo", "sfondo", "achtergrond"}},
	{Name: string(ratio.ScreenRole), Aliases: []string{"green screen", "blue screen", "green cloth"}},
	{Name: string(ratio.PracticalRole), Aliases: []string{"practicals"}},
	{Name: string(ratio.AmbientRole), Aliases: []string{"ambience", "ambient light", "daylight"}},
	{Name: string(ratio.SpillRole), Aliases: []string{"subject", "spill light", "streulicht", "strooilicht"}},
}

// besideRoles are words of a head that say no more than the role beside them: key light alone.
var besideRoles = append([]string{"+", "light", "licht", "and", "und"}, AloneWords...)

// AloneWords are words of a head that say that one light was on alone.
var AloneWords = []string{"alone", "only", "allein", "nur", "seul", "seule", "solo", "sola", "alleen"}

var apart = strings.NewReplacer("+", " + ", "&", " + ", "(", " (", "[", " [")

// LightIn finds the role, or the sum of roles, that the words of a head name, and what
// else it says: Key + fill (lux) is key+fill and lux. It is false where there is none, and
// for the ratio of two.
func LightIn(head string) (role ratio.Role, rest string, ok bool) {
	var parts []string
	for _, word := range strings.Fields(apart.Replace(head)) {
		if at := table.IndexOf(roles, strings.Trim(word, ".,:")); at >= 0 {
			parts = append(parts, roles[at].Name)
		} else if !slices.Contains(besideRoles, table.Fold(word)) {
			rest += " " + word
		}
	}
	if len(parts) == 0 {
		return "", head, false
	}
	role, err := ParseRole(strings.Join(parts, "+"))
	return role, strings.TrimSpace(rest), err == nil
}

// RoleNames are the roles, for a message.
func RoleNames() string {
	var names []string
	for _, r := range roles {
		names = append(names, r.Name)
	}
	return strings.Join(names, ", ") + ", or a sum such as key+fill"
}

// ParseRole reads a role or a sum of roles, key+fill. An unknown one is a
// *table.Error that names the nearest.
func ParseRole(text string) (ratio.Role, error) {
	var parts []ratio.Role
	for part := range strings.SplitSeq(text, "+") {
		part = strings.TrimSpace(part)
		at, unit, _ := table.Match(roles, part)
		if at < 0 || unit != "" {
			expected := "a role: " + RoleNames()
			if nearest := near(roles, part); nearest != "" {
				expected = "a role; did you mean " + nearest + "? The roles are " + RoleNames()
			}
			return "", &table.Error{Found: text, Expected: expected}
		}
		role := ratio.Role(roles[at].Name)
		if slices.Contains(parts, role) {
			return "", &table.Error{Found: text, Expected: "each role once in a sum"}
		}
		parts = append(parts, role)
	}
	return ratio.SumRole(parts...), nil
}
