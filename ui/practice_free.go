package ui

import (
	"strings"

	"brinkmark/profiles"
	"brinkmark/profiles/lessons"
	"brinkmark/session/practice"
)

// free is a turn to free practice on a job.
func (s *school) free(job profiles.Record, seed uint64) Turn {
	return Turn{func(k Keeper) (Keeper, *Home, error) {
		record := profiles.Record{Format: profiles.Format, Cable: job.Cable, Duct: job.Duct, Conditions: job.Conditions,
			Rig: job.Rig, Limits: job.Limits, Ladder: job.Ladder, Stub: job.Stub}
		trial, err := record.Trial()
		if err != nil {
			return k, nil, err
		}
		l, assumed, err := practice.Free(trial)
		if err != nil {
			return k, nil, err
		}
		var note []string
		if len(assumed) > 0 {
			note = []string{"Made up, as the job does not tell: " + strings.Join(assumed, "; ") + "."}
		}
		return s.begin(lessons.Lesson{Lesson: l, Record: record}, seed, note).to(k)
	}}
}

// freeCables, freeDucts and freeRigs ask for the cards of free practice. Pages of
// cards without any say where cards come from.
func (s *school) freeCables() Question {
	q := s.cardPage("Which cable?")
	for _, cable := range s.library.Cards().Cables {
		job := profiles.Record{Format: profiles.Format, Cable: cable}
		q.Choices = append(q.Choices, Choice{Label: join(cable.Make, cable.Type), do: going(s.page(func() Question { return s.freeDucts(job) }))})
	}
	return s.orBack(q)
}

func (s *school) freeDucts(job profiles.Record) Question {
	q := s.cardPage("Which duct?")
	for _, duct := range s.library.Cards().Ducts {
		job.Duct = duct
		q.Choices = append(q.Choices, Choice{Label: duct.Size, do: going(s.page(func() Question { return s.freeRigs(job) }))})
	}
	return s.orBack(q)
}

func (s *school) freeRigs(job profiles.Record) Question {
	q := s.cardPage("Which rig?")
	for _, rig := range s.library.Cards().Rigs {
		job.Rig = rig
		q.Choices = append(q.Choices, Choice{Label: either(rig.Name, "rig without a name"), do: going(s.page(func() Question { return s.freeTemperature(job) }))})
	}
	return s.orBack(q)
}

// freeTemperature asks how warm the cable of free practice is.
func (s *school) freeTemperature(job profiles.Record) Question {
	q := Question{ID: "free", Title: "How warm is the cable?"}
	for _, text := range []string{"41 °F", "59 °F", "77 °F", "95 °F"} {
		next, err := job.With("conditions.cable_temperature", text)
		if err != nil {
			continue
		}
		q.Choices = append(q.Choices, Choice{Label: text, do: going(s.free(next, 0))})
	}
	q.Enter = &Entering{Label: "Cable temperature", Example: "5 °C", take: func(f Flow, text string) (Flow, Effect, error) {
		next, err := job.With("conditions.cable_temperature", text)
		if err != nil {
			return f, None{}, err
		}
		return f, s.free(next, 0), nil
	}}
	return s.orBack(q)
}

func (s *school) cardPage(title string) Question {
	return Question{ID: "free", Title: title, Body: []string{"The rig is made up about the cards you choose; another seed makes up another."}}
}

// orBack adds the way back, and says what to do without cards.
func (s *school) orBack(q Question) Question {
	if len(q.Choices) == 0 && q.Enter == nil {
		q.Body = []string{"There are no such cards yet.", "Cards are kept from every job, or come from a spreadsheet: brinkmark cards FILE."}
	}
	q.Choices = append(q.Choices, Choice{Label: "Back to the lessons", do: going(Turn{s.enter}), rank: minor})
	return q
}
