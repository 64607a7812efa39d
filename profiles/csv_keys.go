package profiles

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"unicode/utf8"

	"brinkmark/profiles/problem"

	"github.com/BurntSushi/toml"
)

// sheetExamples show how each value of a card is written.
var sheetExamples = map[string]string{
	"cable.make": "Northmoor", "cable.type": "LT-96 loose tube", "cable.outer_diameter": "12.4 mm", "cable.mass": "118 kg/km",
	"cable.bending_stiffness": "1.9 N m2", "cable.stiffness_temperature": "73.4 F", "cable.polyethylene_share": "0.5",
	"cable.axial_stiffness": "245 kN", "cable.min_bend_radius": "250 mm", "cable.kink_radius": "60 mm",
	"cable.crush_limit": "2200 N/100mm", "cable.head": "cap",
	"duct.size": "1.25 in SDR 11", "duct.inner_diameter": "34.5 mm", "duct.lining": "smooth",
	"rig.name": "Rig 2", "rig.belts": "set B", "rig.lead_in": "13 mm", "rig.gap": "40 mm", "rig.supply": "truck hydraulics",
	"rig.gauge_ids": "G7 P3", "rig.push_control": "belt speed", "rig.push_unit": "ft/min", "rig.grip_limit": "60 psi",
	"rig.speed_limit": "220 ft/min", "rig.grip_division": "1 psi", "rig.speed_division": "5 ft/min",
	"rig.traction_per_grip": "9.5 N/kPa", "rig.traction_offset": "0 N", "rig.thrust_per_speed": "410 N/(m/s)",
	"rig.thrust_offset": "0 N", "rig.belt_length": "0.30 m", "rig.clamp_per_grip": "15 N/kPa",
	"person.name": "AB", "person.roles": "operator watcher",
}

// sheetKeys are the headings a spreadsheet of cards can have, and whether they are of a
// job and so on no card; sheetKeyOrder has those of cards in the order of their files.
var sheetKeys, sheetKeyOrder = func() (map[string]bool, []string) {
	all, order := map[string]bool{}, []string(nil)
	for _, kind := range cardKinds {
		for _, v := range values(kind) {
			all[v.key] = isOfJob(v.key)
			if !all[v.key] {
				order = append(order, v.key)
			}
		}
	}
	return all, order
}()

// isOfJob reports whether a value is of one job and on no card.
func isOfJob(key string) bool {
	switch key {
	case "cable.reel", "cable.lot", "cable.print_legend", "duct.lot":
		return true
	}
	return false
}

// set gives a card's file one value and returns what is wrong with it.
func (f *cardFile) set(key, text string) (wrong string) {
	switch {
	case unshowable(text):
		return fmt.Sprintf("%q has characters that cannot be shown", problem.ShownText(text))
	case utf8.RuneCountInString(text) > maxCell:
		return fmt.Sprintf("%q is longer than %d characters", problem.Clip(text), maxCell)
	}
	table, name, _ := strings.Cut(key, ".")
	var value any = text
	switch key {
	case "cable.polyethylene_share":
		share, err := strconv.ParseFloat(text, 64)
		if err != nil || !(share >= 0 && share <= 1) {
			return fmt.Sprintf("%q is no share from 0 to 1", problem.Clip(text))
		}
		value = share
	case "rig.gauge_ids":
		value = listed(text)
	case "person.roles":
		value = listed(strings.ToLower(text))
	case "duct.lining":
		value = strings.ToLower(text)
	}
	block, err := encode(map[string]any{table: map[string]any{name: value}})
	if err != nil {
		return err.Error()
	}
	next := *f
	if _, err := toml.Decode(block, &next); err != nil {
		if bad, ok := err.(toml.ParseError); ok {
			return problem.PlainMessage(bad.Message)
		}
		return fmt.Sprintf("%q cannot be a value of %s", problem.Clip(text), key)
	}
	*f = next
	return ""
}

// listed are the words of a cell that holds several.
func listed(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,;/", r) })
}

// CardTemplate is a spreadsheet of cards to fill in: for each kind a line of headings,
// and below it an example that is passed over.
func CardTemplate() string {
	var b strings.Builder
	b.WriteString("# Fill in below the headings: one card a line. Units belong in the cell: 12.4 mm or 0.49 in.\n" +
		"# Lines that begin with # are passed over. Columns and kinds that are not needed can go.\n")
	for _, kind := range cardKinds {
		var keys, examples []string
		for _, key := range sheetKeyOrder {
			if strings.HasPrefix(key, kind.table()+".") {
				keys, examples = append(keys, key), append(examples, sheetExamples[key])
			}
		}
		fmt.Fprintf(&b, "\n%s\n# %s\n\n", strings.Join(keys, ","), strings.Join(examples, ","))
	}
	return b.String()
}

// compare returns the values of a card that contradict an older one of its name, and
// those it has beyond it. Roles only add up.
func compare(old, c card) (differs, more []cardValue) {
	was := values(old)
	for i, v := range values(c) {
		switch {
		case !v.known():
		case v.key == "person.roles":
			for _, r := range c.(Person).Roles {
				if !old.(Person).Has(r) {
					more = append(more, cardValue{v.key, reflect.ValueOf([]Role{r})})
				}
			}
		case !was[i].known():
			more = append(more, v)
		case !sameValue(was[i], v):
			differs = append(differs, v)
		}
	}
	return differs, more
}
