package ui

import (
	"brinkmark/ui/ask"
)

// question asks what comes next: in the trial, or on a page without one.
func (p *Plain) question(flow ask.Flow) ask.Question {
	if p.Keeper.Trial == nil {
		return p.Home.Question()
	}
	return flow.Question()
}

// turnTo goes to another page, or into a lesson. What cannot be begun is said, and the
// question stays.
func (p *Plain) turnTo(flow ask.Flow, t ask.Turn) (ask.Flow, error) {
	k, home, err := t.To(p.Keeper)
	if err != nil {
		p.say("! " + err.Error())
		return flow, nil
	}
	p.Keeper, p.Home = k, home
	return k.First(), nil
}

// showScene tells a push on the practice rig in words.
func (p *Plain) showScene(q ask.Question) {
	if q.Scene != nil && q.ID == "push" {
		for _, line := range q.Scene.Words() {
			p.say("  " + line)
		}
	}
}
