package command

import (
	"math"
	"slices"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
)

// marks are the entries of one record by the press that wrote them.
type marks struct {
	press  map[int]int // by number of entry
	kinds  map[int]string
	count  int
	undone map[int]bool // presses taken back
	newest int
	undos  int
	left   string // of a press that was taken back, what stays and matters
}

func (d *day) marksOf(id string) *marks {
	if d.presses == nil {
		d.presses = map[string]*marks{}
	}
	if d.presses[id] == nil {
		d.presses[id] = &marks{press: map[int]int{}, kinds: map[int]string{}, undone: map[int]bool{}}
	}
	return d.presses[id]
}

// numbered is an entry of a record, as its file has it.
type numbered struct {
	seq  int
	kind string // what it is to the setting: push, temperature; "" for the rest
}

func entriesOf(r profiles.Record) (all []numbered) {
	for _, a := range r.Attempts {
		all = append(all, numbered{a.Seq, "push"})
	}
	for _, c := range r.Changes {
		kind := ""
		if c.Key == cableTemperature {
			kind = "temperature"
		}
		all = append(all, numbered{c.Seq, kind})
	}
	for _, a := range r.Answers {
		all = append(all, numbered{a.Seq, ""})
	}
	return all
}

const cableTemperature = "conditions.cable_temperature"

// take gives the entries of a press its number, and takes whole presses back.
func (m *marks) take(all []numbered, undos []profiles.Undo, byKey bool) {
	m.count++
	for _, e := range all {
		if _, had := m.press[e.seq]; !had {
			m.press[e.seq], m.kinds[e.seq] = m.count, e.kind
			m.newest = max(m.newest, e.seq)
		}
	}
	dropped := map[int]bool{}
	for _, u := range undos {
		dropped[u.Drops] = true
	}
	if byKey && len(undos) > m.undos {
		back := m.press[undos[len(undos)-1].Drops]
		m.undone[back] = true
		for seq, press := range m.press {
			if press == back && !dropped[seq] && m.kinds[seq] != "" {
				m.left = m.kinds[seq]
			}
		}
	}
	m.undos = len(undos)
}

// proofOf is a record as the log sees it: what was taken back is gone with all its press
// did, and what was said last of the cable's temperature is in force.
func (d *day) proofOf(r profiles.Record, tablet int) *proof {
	m := d.marksOf(r.ID)
	dropped := map[int]bool{}
	for _, u := range r.Undos {
		dropped[u.Drops] = true
	}
	stands := func(seq int) bool { return !dropped[seq] && !m.undone[m.press[seq]] }
	p := d.log.proofs[r.ID]
	if p == nil {
		p = &proof{id: r.ID, tablet: tablet, state: map[int]state{}}
		d.log.proofs[r.ID] = p
		d.log.known[tablet][r.ID] = true
	}
	p.of, p.kind, p.reel = r.Of, r.Kind.String(), r.Cable.Reel
	p.key = cableKey{r.Cable.Make, r.Cable.Type, r.Duct.Size, r.Rig.Name}
	p.most = lowestLimits(r)
	p.pushes, p.since, p.saved, p.closed = nil, 0, false, false
	type said struct {
		seq int
		do  func(at *float64)
	}
	var order []said
	for _, c := range r.Changes {
		if stands(c.Seq) && c.Key == cableTemperature {
			order = append(order, said{c.Seq, func(at *float64) { p.warmed(c, at) }})
		}
	}
	for _, a := range r.Answers {
		if stands(a.Seq) {
			order = append(order, said{a.Seq, func(at *float64) { p.answered(a, at) }})
		}
	}
	for _, a := range r.Attempts {
		if stands(a.Seq) {
			order = append(order, said{a.Seq, func(at *float64) { p.push(a, *at) }})
		}
	}
	slices.SortFunc(order, func(a, b said) int { return a.seq - b.seq })
	at := degreesOf(r.Conditions.CableTemperature.String())
	for _, e := range order {
		e.do(&at)
	}
	p.now = at
	return p
}

// warmed takes a change of the cable's temperature: from then on, or for the pushes under the one
// before too, which was never so.
func (p *proof) warmed(c profiles.Change, at *float64) {
	*at = degreesOf(c.Value)
	if !c.Corrects {
		p.since = len(p.pushes)
	}
	for i := p.since; i < len(p.pushes); i++ {
		p.pushes[i].at = *at
	}
}

func (p *proof) push(a profiles.Attempt, at float64) {
	if own := degreesOf(a.CableTemperature.String()); !math.IsNaN(own) {
		at = own
	}
	grip, _, _ := amount(a.Grip.String())
	speed, _, _ := amount(a.Speed.String())
	p.pushes = append(p.pushes, pushed{dial{grip, speed}, a.Outcome.String(), a.JacketDamage, at})
}

// answered takes an answer of the record.
func (p *proof) answered(a profiles.Answer, at *float64) {
	switch {
	case strings.Contains(a.Item, "cable-temperature"):
		if f := degreesOf(a.Value); !math.IsNaN(f) {
			*at = f
		}
	case a.Item == session.ItemSetting && a.State == session.SettingAccepted:
		p.set, _ = dialOf(a.Value)
		p.accepted = a.At
	case a.Item == session.ItemSaved:
		p.saved = true
	case a.Item == session.ItemClosed, a.Item == session.ItemJob && a.State == session.JobCovered, a.Item == session.ItemSetting && a.State == session.SettingRefused:
		p.closed = true
	}
}

// lowestLimits are those of rig, crew, plan and cable.
func lowestLimits(r profiles.Record) dial {
	least := func(texts ...string) float64 {
		most := 0.0
		for _, text := range texts {
			if v, _, ok := amount(text); ok && (most == 0 || v < most) {
				most = v
			}
		}
		return most
	}
	plan := profiles.Plan{}
	switch r.Kind {
	case session.ShortCheck:
		plan = r.Plan
	case session.Enough:
		plan.Speed = r.Plan.Speed
	}
	crush := ""
	if r.Rig.Name == "Rig 7" {
		crush = crushOfRig7
	}
	return dial{least(crush, r.Rig.GripLimit.String(), r.Limits.Grip.String(), plan.Grip.String()), least(r.Rig.SpeedLimit.String(), r.Limits.Speed.String(), plan.Speed.String())}
}
