package ui

// question asks what comes next: in the trial, or on a page without one.
func (p *Plain) question(flow Flow) Question {
	if p.Keeper.Trial == nil {
		return p.Home.question()
	}
	return flow.Question()
}

// turnTo goes to another page, or into a lesson. What cannot be begun is said, and the
// question stays.
func (p *Plain) turnTo(flow Flow, t Turn) (Flow, error) {
	k, home, err := t.to(p.Keeper)
	if err != nil {
		p.say("! " + err.Error())
		return flow, nil
	}
	p.Keeper, p.Home = k, home
	return k.begin(), nil
}

// showScene tells a push on the practice rig in words.
func (p *Plain) showScene(q Question) {
	if q.scene != nil && q.ID == "push" {
		for _, line := range q.scene.words() {
			p.say("  " + line)
		}
	}
}
