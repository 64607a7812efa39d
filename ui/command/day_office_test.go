package command

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/profiles/store/folder"
	"brinkmark/session"
	"brinkmark/ui/show"
)

func (d *day) aTablet() int { return d.random.IntN(len(d.tablets)) }

// aProfile is some tablet with a profile, and the profile; false while there is none.
func (d *day) aProfile() (tablet int, id string, ok bool) {
	for range 6 {
		tablet = d.aTablet()
		if ids := d.profilesOf(tablet); len(ids) > 0 {
			id = pick(d, ids)
			return tablet, id, d.log.proofs[id] != nil
		}
	}
	return 0, "", false
}

// specOf is a job of the day on the cable, duct and rig of a profile.
func (d *day) specOf(id string) spec {
	var fit []spec
	for _, s := range d.specs {
		if s.key == d.log.proofs[id].key {
			fit = append(fit, s)
		}
	}
	if len(fit) == 0 {
		return d.specs[0]
	}
	return pick(d, fit)
}

func (d *day) fullTrial() {
	s := pick(d, d.specs)
	if d.chance(0.5) {
		s = d.specs[0]
	}
	job := d.job(s)
	if d.chance(0.08) {
		d.step("wrong reel", "the reel is written down wrongly")
		job, _ = job.With("cable.reel", "NM-9")
	}
	d.hand(d.aTablet(), s).trial(job)
}

func (d *day) shortCheck() {
	tablet, id, ok := d.aProfile()
	if !ok {
		return
	}
	s := d.specOf(id)
	job := d.job(s)
	job.Kind, job.Of = session.ShortCheck, id
	d.hand(tablet, s).trial(job)
}

func (d *day) enoughTrial() {
	s := pick(d, d.specs)
	job := d.job(s)
	plan := pick(d, map[string][]string{"ft/min": {"60 ft/min", "80 ft/min"}, "m/min": {"18 m/min", "24 m/min"}, "notch": {"5 notch", "7 notch"}}[s.unit])
	next, err := job.With("plan.speed", plan)
	if err != nil {
		return
	}
	next.Kind = session.Enough
	d.hand(d.aTablet(), s).trial(next)
}

func (d *day) someRun() {
	tablet, id, ok := d.aProfile()
	if !ok {
		return
	}
	d.hand(tablet, d.specOf(id)).aRun(id)
}

func (d *day) resume() {
	tablet := d.aTablet()
	var open []string
	for _, id := range d.log.sortedProofs() {
		if p := d.log.proofs[id]; p.tablet == tablet && !p.closed && p.state[tablet] != byHand {
			open = append(open, id)
		}
	}
	if len(open) == 0 {
		return
	}
	id := pick(d, open)
	h := d.hand(tablet, d.specOf(id))
	h.openAgain(id)
	if h.k.Trial != nil {
		h.lead()
	}
}

// exchange carries records over a stick, from one tablet and then to another.
func (d *day) exchange() {
	for _, tablet := range d.random.Perm(len(d.tablets))[:1+d.random.IntN(2)] {
		d.exchangeOne(tablet)
	}
}

func (d *day) exchangeOne(tablet int) {
	var told bytes.Buffer
	had := map[string]bool{}
	for _, id := range d.profilesOf(tablet) {
		had[id] = true
	}
	onStick := map[string]bool{}
	files, _ := filepath.Glob(filepath.Join(d.stick, "profiles", "*", "*.toml"))
	for _, f := range files {
		onStick[strings.TrimSuffix(filepath.Base(f), ".toml")] = true
	}
	d.step("exchange", "%d exchanges with the stick", tablet+1)
	other, err := folder.OpenOther(d.tablets[tablet].Store(), d.stick)
	require.NoError(d.t, err)
	require.NoError(d.t, show.Exchange(d.tablets[tablet], other, nil, &told))
	require.NoError(d.t, other.Close())
	stick := len(d.tablets)
	spread := func(from, to int) {
		for id := range d.log.known[from] {
			if p := d.log.proofs[id]; p != nil && !p.closed {
				continue // goes on where it is
			}
			d.log.known[to][id] = true
		}
	}
	spread(tablet, stick)
	spread(stick, tablet)
	for _, id := range d.profilesOf(tablet) {
		p := d.log.proofs[id]
		if p == nil {
			continue
		}
		switch st := p.state[stick]; {
		case had[id] || st == asSealed:
		case st == sealsOff && !d.log.knows(tablet, id):
			p.state[tablet] = uncertain // its trial is not here
		default:
			p.state[tablet] = st
		}
		if st := p.state[tablet]; !onStick[id] && (st == sealsOff || st == byHand) {
			p.state[stick] = st
		}
	}
}

// decide is a supervisor's decision about a profile.
func (d *day) decide() {
	tablet, id, ok := d.aProfile()
	if !ok {
		return
	}
	d.rulings++
	j := show.Judgement{Action: pick(d, []profiles.Action{profiles.Withdraw, profiles.Expire, profiles.Query, profiles.Accept}), ID: id, By: pick(d, []string{"QS", "RT"}), Note: "looked at it"}
	on := time.Time{}
	if j.Action == profiles.Expire {
		j.On = d.now.AddDate(0, 0, d.random.IntN(2)).Format(time.DateOnly)
		on, _ = time.Parse(time.DateOnly, j.On)
	}
	do := func() {
		d.step(string(j.Action), "%d %s decides: %s %s %s", tablet+1, j.By, j.Action, tail(id), j.On)
		if err := show.Judge(d.tablets[tablet], j, &bytes.Buffer{}); err != nil {
			d.step("refused", "%d decision refused: %v", tablet+1, err)
			return
		}
		name := fmt.Sprintf("ruling-%d", d.rulings)
		d.log.said = append(d.log.said, decision{name, id, string(j.Action), on})
		d.log.known[tablet][name] = true
	}
	if j.Action == profiles.Accept { // it may answer a question, and so free what was asked about
		do()
		return
	}
	d.guarded(tablet, "a supervisor's "+string(j.Action), do)
}

// tighten lets a supervisor tighten single rules of one tablet.
func (d *day) tighten() {
	tablet := d.aTablet()
	rules := []struct {
		text string
		set  func(*houseRules)
	}{
		{`check_degrees = "2 °F"`, func(r *houseRules) { r.checkF = 2 }},
		{`covered_degrees = "3 °F"`, func(r *houseRules) { r.coveredF = 3 }},
		{`check_stiffness = 0.03`, func(r *houseRules) { r.checkLn = 0.03 }},
		{`covered_stiffness = 0.02`, func(r *houseRules) { r.coveredLn = 0.02 }},
		{`shift_hours = 4`, func(r *houseRules) { r.shift = 4 }},
		{`check_days = 0.1`, func(r *houseRules) { r.checkDays = 0.1 }},
		{`retest_days = 0.1`, func(r *houseRules) { r.testDays = 0.1 }},
		{`retest = ["cable.reel", "cable.lot"]`, func(*houseRules) {}},
		{`retest = ["conditions.cable_temperature"]`, func(*houseRules) {}},
		{`retest_diameter = 0.01`, func(*houseRules) {}},
	}
	rule := pick(d, rules)
	path := filepath.Join(d.tablets[tablet].Where(), "rules.toml")
	if had, err := os.ReadFile(path); err == nil && !strings.Contains(string(had), strings.SplitN(rule.text, " ", 2)[0]+" =") {
		rule.text = strings.TrimSpace(strings.TrimPrefix(string(had), "format = 1\n")) + "\n" + rule.text
	} else if err == nil {
		return // one rule is tightened once
	}
	d.guarded(tablet, "a tighter rule", func() {
		d.step("rules", "%d rules.toml: %s", tablet+1, strings.ReplaceAll(rule.text, "\n", "; "))
		require.NoError(d.t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(d.t, os.WriteFile(path, []byte("format = 1\n"+rule.text+"\n"), 0o666))
		rule.set(&d.log.rules[tablet])
	})
}

const journalLine = "# brinkmark journal 1\n"

var (
	sealLines  = regexp.MustCompile(`(?m)^# sealed .*\n`)
	settingKey = regexp.MustCompile(`(?ms)(^\[setting\].*?^speed = ")([\d.]+)( [^"]*")`)
	recordID   = regexp.MustCompile(`(?m)^id = "[^"]*"`)
)

// edit takes a profile's file in hand, or writes one.
func (d *day) edit() {
	tablet, id, ok := d.aProfile()
	if !ok {
		return
	}
	files, _ := filepath.Glob(filepath.Join(d.tablets[tablet].Where(), "profiles", "*", id+".toml"))
	if len(files) == 0 {
		return
	}
	p := d.log.proofs[id]
	if p.state[tablet] != asSealed {
		return
	}
	data, err := os.ReadFile(files[0])
	require.NoError(d.t, err)
	text, raised := string(data), false
	raise := func() {
		text = settingKey.ReplaceAllStringFunc(text, func(m string) string {
			parts := settingKey.FindStringSubmatch(m)
			v := 0.0
			_, _ = fmt.Sscan(parts[2], &v)
			raised = true
			return parts[1] + fmt.Sprintf("%.4g", v*1.5) + parts[3]
		})
	}
	became := sealsOff
	switch d.random.IntN(5) {
	case 0:
		if raise(); !raised {
			return
		}
		d.step("seal broken", "%d the setting of %s is raised in its file", tablet+1, tail(id))
		became = broken
	case 1, 2:
		if d.chance(0.6) {
			raise()
		}
		text = strings.Replace(text, journalLine, "", 1)
		d.step("first line out", "%d the first line of %s is taken out, setting raised: %v", tablet+1, tail(id), raised)
	default:
		if d.chance(0.6) {
			raise()
		}
		d.byHand(tablet, p, files[0], text, raised)
		return
	}
	write := func() {
		require.NoError(d.t, os.WriteFile(files[0], []byte(text), 0o666))
		p.state[tablet] = became
	}
	if became == broken {
		d.guarded(tablet, "a line changed under its seal", write)
		return
	}
	write()
}

// byHand writes a profile of its own, as somebody does who copies one.
func (d *day) byHand(tablet int, from *proof, file, text string, raised bool) {
	last := d.profilesOf(tablet)
	id, err := profiles.NewID(d.now, bytes.NewReader([]byte("written by hand, a few")), last[len(last)-1])
	require.NoError(d.t, err)
	text = recordID.ReplaceAllString(sealLines.ReplaceAllString(strings.Replace(text, journalLine, "", 1), ""), `id = "`+id+`"`)
	d.step("by hand", "%d a profile %s is written by hand after %s, setting raised: %v", tablet+1, tail(id), tail(from.id), raised)
	own := *from
	own.id, own.tablet, own.closed, own.saved = id, tablet, true, true
	if raised {
		own.set.speed *= 1.5
	}
	own.state = map[int]state{tablet: byHand}
	for i := range d.log.known {
		own.state[i] = byHand
	}
	d.log.proofs[id] = &own
	d.log.known[tablet][id] = true
	if job, known := d.jobs[from.id]; known {
		d.jobs[id] = job
	}
	require.NoError(d.t, os.WriteFile(filepath.Join(filepath.Dir(file), id+".toml"), []byte(text), 0o666))
}
