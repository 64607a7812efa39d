package ask

import (
	"fmt"

	"brinkmark/profiles"
)

// known are the names on cards that a value of the job can be.
func (f Flow) known(key string) []string {
	switch key {
	case "cable.make":
		return each(f.Cards.Cables, func(c profiles.Cable) string { return c.Make })
	case "cable.type":
		return each(f.Cards.Cables, func(c profiles.Cable) string { return c.Type })
	case "duct.size":
		return each(f.Cards.Ducts, func(d profiles.Duct) string { return d.Size })
	case "rig.name":
		return each(f.Cards.Rigs, func(r profiles.Rig) string { return r.Name })
	case "people.operator", "people.watcher":
		return each(f.Cards.People, func(p profiles.Person) string { return p.Name })
	}
	return nil
}

// nearQuestion asks whether a name that was typed is the known one it is near to: two
// spellings of one name would be two cables, each with profiles of its own.
func (f Flow) nearQuestion(key string, then func(Flow) Flow) Question {
	take := func(text string) func(Flow) (Flow, Effect) {
		return func(f Flow) (Flow, Effect) {
			next, effect, err := f.valueTaken(key, text, then)
			if err != nil { // it cannot be a value: ask again
				f.draft.typed, f.draft.near = "", ""
				return f, None{}
			}
			return next, effect
		}
	}
	return Question{
		ID: "near", Title: "Did you mean " + f.draft.near + "?",
		Body: []string{fmt.Sprintf("You typed %s. %s is on a card.", f.draft.typed, f.draft.near)},
		Help: []string{"Results are kept under these names. Under another spelling they are not found again."},
		Choices: []Choice{
			{Label: "Yes, " + f.draft.near, Do: take(f.draft.near)},
			{Label: fmt.Sprintf("No, %s is another", f.draft.typed), Do: take(f.draft.typed)},
		},
	}
}

// complete returns a job with what the card of a name just given knows beyond it.
func (f Flow) complete(key string, job profiles.Record) profiles.Record {
	switch key {
	case "cable.make", "cable.type", "duct.size":
		return f.Cards.Complete(job)
	}
	return job
}
