package command

import (
	"math"
	"slices"

	"brinkmark/profiles"
	engine "brinkmark/session/run"
)

// runEntries are the entries of a run that matter to a promise, and the rest.
func runEntries(r *profiles.RunRecord) (all []numbered) {
	add := func(seq int, kind string) { all = append(all, numbered{seq, kind}) }
	for _, e := range r.Answers {
		add(e.Seq, "")
	}
	for _, e := range r.Provings {
		add(e.Seq, "")
	}
	for _, e := range r.Dialled {
		add(e.Seq, "dialled")
	}
	for _, e := range r.Starts {
		add(e.Seq, "")
	}
	for _, e := range r.Points {
		add(e.Seq, "")
	}
	for _, e := range r.Stops {
		add(e.Seq, "stop")
	}
	for _, e := range r.Restarts {
		add(e.Seq, "")
	}
	for _, e := range r.Ends {
		add(e.Seq, "end")
	}
	for _, e := range r.Closings {
		add(e.Seq, "closing")
	}
	return all
}

// sofar is a run as it stands at an entry.
type sofar struct {
	set, most   dial
	cable, air  float64
	warmest     float64
	folded, hit *hurt
}

func (s *sofar) temperatures(cable, air string) {
	if f := degreesOf(cable); !math.IsNaN(f) {
		s.cable = f
	}
	if f := degreesOf(air); !math.IsNaN(f) {
		s.air = f
	}
	if w := s.warm(); !math.IsNaN(w) && !(s.warmest > w) {
		s.warmest = w
	}
}

func (s *sofar) warm() float64 {
	if math.IsNaN(s.cable) || s.air > s.cable {
		return s.air
	}
	return s.cable
}

func (s *sofar) dials(grip, speed string) {
	if v, _, ok := amount(grip); ok {
		s.set.grip = v
	}
	if v, _, ok := amount(speed); ok {
		s.set.speed = v
	}
	s.most = dial{max(s.most.grip, s.set.grip), max(s.most.speed, s.set.speed)}
}

// told is something a run's record tells, by its number.
type told struct {
	seq int
	do  func(*sofar)
}

// toldBy are the entries of a run that say what was dialled, how warm it was, what folded
// and what was marked.
func toldBy(r *profiles.RunRecord) (all []told) {
	fold := func(s *sofar) {
		if s.folded == nil {
			s.folded = &hurt{folded: true, dial: s.set, at: s.warm()}
		}
	}
	for _, e := range r.Dialled {
		all = append(all, told{e.Seq, func(s *sofar) {
			s.temperatures(e.CableTemperature.String(), e.InletAirTemperature.String())
			s.dials(e.Grip.String(), e.Speed.String())
		}})
	}
	for _, e := range r.Points {
		all = append(all, told{e.Seq, func(s *sofar) {
			s.temperatures(e.CableTemperature.String(), e.InletAirTemperature.String())
			s.dials(e.Grip.String(), e.Speed.String())
		}})
	}
	for _, e := range r.Stops {
		if e.Reason == engine.StopFold {
			all = append(all, told{e.Seq, fold})
		}
	}
	for _, e := range r.Ends {
		if e.Reason == engine.EndFold {
			all = append(all, told{e.Seq, fold})
		}
	}
	for _, e := range r.Closings {
		all = append(all, told{e.Seq, func(s *sofar) {
			if e.Folds > 0 && s.folded == nil {
				s.folded = &hurt{folded: true, dial: s.most, at: s.warmest}
			}
			if e.Damaged {
				s.hit = &hurt{marked: true, dial: s.most, at: s.warmest}
			}
		}})
	}
	return all
}

// hurtsOf are the folds and marked jackets of a run as it stands.
func (d *day) hurtsOf(r *profiles.RunRecord, tablet int, m *marks) {
	dropped := map[int]bool{}
	for _, u := range r.Undos {
		dropped[u.Drops] = true
	}
	order := toldBy(r)
	slices.SortFunc(order, func(a, b told) int { return a.seq - b.seq })
	s := sofar{cable: math.NaN(), air: math.NaN(), warmest: math.NaN()}
	for _, e := range order {
		if !dropped[e.seq] && !m.undone[m.press[e.seq]] {
			e.do(&s)
		}
	}
	for which, found := range map[string]*hurt{"/fold": s.folded, "/mark": s.hit} {
		delete(d.log.hurts, r.ID+which)
		if found == nil || found.dial == (dial{}) {
			continue
		}
		found.run, found.of, found.key = r.ID, r.Of, cableKey{r.Cable.Make, r.Cable.Type, r.Duct.Size, r.Rig.Name}
		d.log.hurts[r.ID+which] = found
		d.log.known[tablet][r.ID] = true
	}
}
