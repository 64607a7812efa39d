package command

import (
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"brinkmark/profiles"
	"brinkmark/session"
	"brinkmark/ui/show"
)

// profilesOf are the ids of the profiles in a tablet's folders, newest last.
func (d *day) profilesOf(tablet int) []string {
	files, _ := filepath.Glob(filepath.Join(d.tablets[tablet].Where(), "profiles", "*", "*.toml"))
	var ids []string
	for _, f := range files {
		ids = append(ids, strings.TrimSuffix(filepath.Base(f), ".toml"))
	}
	slices.Sort(ids)
	return ids
}

// askCheap asks after every press what costs little.
func (d *day) askCheap(tablet int) {
	if d.random.IntN(10) == 0 {
		s := pick(d, d.specs)
		d.covers(tablet, d.job(s))
	}
}

// askAll asks every exit about some profiles and jobs of a tablet or two.
func (d *day) askAll() {
	defer func() { d.shared = nil }()
	for _, tablet := range d.random.Perm(len(d.tablets))[:1+d.random.IntN(2)] {
		d.shared = nil
		s := pick(d, d.specs)
		job := d.job(s)
		d.shared, _ = d.tablets[tablet].Candidates() // one look at the library for some questions
		said, _ := d.covers(tablet, job)
		d.leftOut(tablet, job, said)
		d.covers(tablet, d.job(s, [2]string{cableTemperature, d.shown(s, d.cableIs(s)+30*d.random.Float64()-15)}))
		d.shared = nil
		ids := d.profilesOf(tablet)
		if len(ids) == 0 {
			continue
		}
		listed := d.review(tablet)
		d.askOf(tablet, pick(d, ids), listed)
		if d.chance(0.3) {
			d.askOf(tablet, ids[len(ids)-1], listed)
		}
	}
}

// askOf asks every exit about one profile, each by itself and then whether they agree.
func (d *day) askOf(tablet int, id string, listed map[string]answer) {
	of := d.log.proofs[id]
	if of == nil {
		return
	}
	job, known := d.jobs[id]
	if !known {
		return
	}
	around := of.coldest(of.set)
	if math.IsNaN(around) {
		around = d.base
	}
	said, c := d.covers(tablet, job)
	others := []answer{d.sheet(tablet, id), d.dialInRun(tablet, id, around), d.planned(tablet, id, job)}
	if of.key.rig == "Rig 7" {
		others = append(others, d.reach(tablet, id))
	}
	own, near := said[id]
	switch {
	case near && own.effect == 0 && c.Best.ID == id:
		set, _ := c.Setting.Get()
		all := append([]answer{{exit: "covers", set: inLog(c.Best.Rig(), set), top: degreesOf(session.WholeDegrees(c.CoveredUpTo, c.Thermometer)), until: c.Until}}, d.coversInWords(c)...)
		if a, on := listed[id]; on {
			all = append(all, a)
		}
		d.report(agree(id, append(all, others...))...)
	case near && own.effect == 2 && ofProfile.MatchString(whyNot(c, id)):
		for _, a := range others {
			if !a.none && a.exit != "sheet" { // a sheet is of no hour
				d.report(agree(id, []answer{{exit: "covers", none: true, why: whyNot(c, id)}, a})...)
			}
		}
	}
}

// ofProfile are the reasons that lie in the profile and not in what a job says or leaves out.
var ofProfile = regexp.MustCompile(`^(findings|setting|profile|times|seal)`)

// whyNot is why covers wants a full trial, at the profile's own temperature and job.
func whyNot(c *show.Cover, id string) string {
	for _, m := range append([]*profiles.Match{c.Best}, c.Near...) {
		for _, r := range m.Reasons() {
			if m.ID == id && r.Effect == profiles.Retest {
				return r.Field + ": " + r.Why
			}
		}
	}
	return ""
}

// facts are what a crew may know of a job and leave out.
var facts = []string{"cable.reel", "cable.lot", "cable.head", "cable.outer_diameter", "duct.inner_diameter", "duct.lining", "duct.lot", "rig.name", "rig.belts", "rig.lead_in", "rig.gap", "rig.supply", "conditions.surface"}

// leftOut asks the same job with something not said.
func (d *day) leftOut(tablet int, job profiles.Record, whole map[string]verdictOn) {
	odd := pick(d, [][2]string{{"cable.outer_diameter", "13.4 mm"}, {"duct.inner_diameter", "36.5 mm"}, {"rig.gap", "60 mm"}, {"rig.lead_in", "400 mm"}, {"rig.belts", "set C"}, {"cable.head", "pulling eye"}, {"duct.lining", "ribbed"}, {"cable.reel", "NM-7"}, {"cable.lot", "L9"}, {"duct.lot", "D9"}, {"rig.supply", "other"}, {"conditions.surface", "wet"}})
	if d.chance(0.7) {
		if other, err := job.With(odd[0], odd[1]); err == nil {
			job = other
			whole, _ = d.covers(tablet, job)
		}
	}
	key := odd[0]
	if d.chance(0.3) {
		key = pick(d, facts)
	}
	less, err := job.With(key, "")
	if err != nil {
		return
	}
	without, _ := d.covers(tablet, less)
	d.counts["asked with less said"]++
	d.report(freed(key, whole, without)...)
}

// guarded does what can only tighten, and holds that nothing is said more freely after it.
func (d *day) guarded(tablet int, why string, do func()) {
	var jobs []profiles.Record
	var before []map[string]verdictOn
	for range 2 {
		job := d.job(pick(d, d.specs))
		if ids := d.profilesOf(tablet); len(ids) > 0 && d.chance(0.7) {
			if own, known := d.jobs[pick(d, ids)]; known {
				job = own
			}
		}
		said, _ := d.covers(tablet, job)
		jobs, before = append(jobs, job), append(before, said)
	}
	now := d.now
	do()
	later := d.now
	d.now = now
	for i, job := range jobs {
		after, _ := d.covers(tablet, job)
		d.report(widened(why, before[i], after)...)
	}
	d.now = later
	d.counts["asked before and after"]++
}

// keepJob keeps a trial's job as it stands now, to ask with it later.
func (d *day) keepJob(r profiles.Record, of *proof) {
	job, err := r.AsChanged()
	if err != nil {
		return
	}
	job.Entries, job.Setting, job.Plan = profiles.Entries{}, nil, profiles.Plan{}
	job.Kind, job.Of, job.Earlier, job.ID = session.Full, "", "", ""
	if !math.IsNaN(of.now) {
		unit := "°F"
		if strings.Contains(job.Conditions.CableTemperature.String(), "C") {
			unit = "°C"
		}
		s := spec{metric: unit == "°C"}
		if next, err := job.With(cableTemperature, d.shown(s, of.coldest(of.set))); err == nil {
			job = next
		}
	}
	d.jobs[r.ID] = job
}
