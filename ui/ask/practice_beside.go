package ask

import (
	"fmt"
	"strings"

	"brinkmark/session"
	"brinkmark/session/practice"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"
)

// besideQuestion puts what was read beside what it was, once the same two were mixed up
// twice: their signs, where they differ, and which of them this push showed.
func (p *PracticeTrial) besideQuestion(v practice.Verdict) Question {
	read, was := signOf(v.Read), signOf(v.Truth.Outcome)
	question := Question{ID: "beside", Stage: session.ClimbStage,
		Title: fmt.Sprintf("Twice now: it was a %s, and was read as a %s", strings.ToUpper(was.Outcome), strings.ToUpper(read.Outcome)),
		Body:  []string{"This push: " + strings.Join(v.Truth.GaveAway, " ")},
		Table: &draw.Table{Head: []string{"", strings.ToUpper(read.Outcome), strings.ToUpper(was.Outcome)}},
		Choices: []Choice{{Label: "Seen; go on", Do: func(f Flow) (Flow, Effect) {
			return f.at(stepFirst), onRig{trial: p, shown: true}
		}}},
	}
	for _, row := range [][3]string{
		{"belts", read.Belts, was.Belts}, {"line", read.Line, was.Line}, {"sound", read.Sound, was.Sound},
		{"reading", read.Reading, was.Reading}, {"jacket", read.Jacket, was.Jacket}, {"where", read.Where, was.Where},
	} {
		what := row[0]
		if row[1] != row[2] {
			what = "! " + what
		}
		question.Table.Add(row[1] != row[2], what, words.Capital(row[1]), words.Capital(row[2]))
	}
	question.Body = append(question.Body, "They differ where a ! stands.")
	return question
}

// signOf is the signs of an outcome.
func signOf(o session.Outcome) session.Sign {
	for _, s := range session.Signs() {
		if s.Outcome == o.String() {
			return s
		}
	}
	return session.Sign{Outcome: o.String()}
}
