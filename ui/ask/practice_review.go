package ask

import "brinkmark/session/practice"

// ending is how a lesson ends: with its review, which goes into the history once.
type ending struct {
	review practice.Review
	keep   func(practice.Review) error // nil keeps nothing
	unkept error                       // why it is not in the history yet
	back   Turn                        // to the lessons
}

// close ends the lesson with a review.
func (e *ending) close(r practice.Review) {
	e.review = r
	e.write()
}

// write puts the review into the history.
func (e *ending) write() {
	if e.keep != nil {
		e.unkept = e.keep(e.review)
	}
}

// page shows how it went. again writes the result once more, where it could not be
// kept.
func (e *ending) page(again Effect) Question {
	q := Question{ID: "review", Title: "How it went", Body: e.review.Lines(), Choices: []Choice{{Label: "To the lessons", Do: going(e.back)}}}
	if e.unkept != nil {
		q.Body = append([]string{"! The result is not in the history yet: " + e.unkept.Error()}, q.Body...)
		q.Choices = append(q.Choices, Choice{Label: "Write it again", Do: func(f Flow) (Flow, Effect) { return f, again }})
	}
	return q
}
