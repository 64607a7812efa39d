package command

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/session"
	q "brinkmark/session/quantity"
	engine "brinkmark/session/run"
	"brinkmark/ui/rehearsal"
	"brinkmark/ui/show"
)

// inLog is a setting of the program in the log's units.
func inLog(rig session.Rig, s session.Setting) dial {
	d, _ := dialOf(rig.Show(s))
	return d
}

func fahrenheitOf(t q.Temperature) float64 { return q.In(t, "°F") }

// covers asks whether a profile holds for a job, judges the answer, and returns what is said
// of every profile that is near.
func (d *day) covers(tablet int, job profiles.Record) (map[string]verdictOn, *show.Cover) {
	candidates := d.shared
	if candidates == nil {
		var err error
		if candidates, err = d.tablets[tablet].Candidates(); err != nil {
			d.counts["covers: no answer"]++
			return nil, nil
		}
	}
	c := show.CoverOf(candidates, job, d.now)
	if c == nil {
		return nil, nil
	}
	d.counts["exit covers"]++
	said := map[string]verdictOn{}
	for _, m := range c.Near {
		said[m.ID] = verdictOn{effect(m.Effect), inLog(m.Rig(), m.Setting), m.Effect != profiles.Retest, math.NaN()}
	}
	if c.Best == nil {
		return said, c
	}
	set, some := c.Setting.Get()
	best := verdictOn{effect(c.Effect), inLog(c.Best.Rig(), c.Best.Setting), c.Effect != profiles.Retest, math.NaN()}
	p := promise{exit: "covers, short check meanwhile", tablet: tablet, id: c.Best.ID, at: degreesOf(job.Conditions.CableTemperature.String()), top: math.NaN(), now: d.now, most: lowestLimits(job), reel: job.Cable.Reel, asks: true}
	if c.Effect == profiles.Covered {
		best.top = fahrenheitOf(c.CoveredUpTo)
		p.exit, p.holds, p.top, p.until = "covers", true, best.top, c.Until
	}
	if some {
		p.set = inLog(c.Best.Rig(), set)
		p.lower = set.Speed.Value < c.Best.Setting.Speed.Value*(1-near)
		d.report(d.log.judge(p)...)
	}
	for _, row := range c.DropTo {
		drop := p
		drop.exit, drop.set, drop.at, drop.lower, drop.holds = "covers, drop-to", inLog(c.Best.Rig(), row.Setting), fahrenheitOf(row.UpTo), true, false
		d.report(d.log.judge(drop)...)
	}
	said[c.Best.ID] = best
	return said, c
}

func effect(e profiles.Effect) int {
	return map[profiles.Effect]int{profiles.Covered: 0, profiles.ShortCheck: 1, profiles.Retest: 2}[e]
}

// coversInWords is what the covers command prints and its JSON: both say what it decided.
func (d *day) coversInWords(c *show.Cover) []answer {
	var text bytes.Buffer
	c.Show(&text)
	data, err := json.Marshal(c.Form())
	require.NoError(d.t, err)
	var form struct {
		Verdict string
		Profile *string
		Setting *struct{ Grip, Speed struct{ Text string } }
	}
	require.NoError(d.t, json.Unmarshal(data, &form))
	d.counts["exit covers --json"]++
	var all []answer
	if form.Verdict == "covered" && form.Setting != nil {
		set, _ := dialOf(form.Setting.Grip.Text + ", " + form.Setting.Speed.Text)
		all = append(all, answer{exit: "covers --json", set: set, top: math.NaN()})
	}
	lines := strings.Split(text.String(), "\n")
	if tag, ok := tagOf(lines); ok {
		tag.exit = "covers, tag"
		d.counts["exit tag of covers"]++
		all = append(all, tag)
	}
	return all
}

var (
	sheetDial = regexp.MustCompile(`grip pressure</small>([^<]*)</span><span><small>[^<]*</small>([^<]*)</span>`)
	sheetTop  = regexp.MustCompile(`air up to <b>([^<]*)</b>`)
	sheetDrop = regexp.MustCompile(`<tr><td>(-?\d+ °[FC])</td><td><b>([^<]*)</b></td></tr>`)
)

// sheet asks for the hand-over sheet.
func (d *day) sheet(tablet int, id string) answer {
	var page bytes.Buffer
	a := answer{exit: "sheet", top: math.NaN(), none: true}
	if err := show.WriteSheet(d.tablets[tablet], id, nil, &page); err != nil {
		d.counts["sheet: no answer"]++
		return a
	}
	d.counts["exit sheet"]++
	text := page.String()
	m := sheetDial.FindStringSubmatch(text)
	if m == nil || strings.Contains(text, "DO NOT USE") {
		return a
	}
	if a.set, _ = dialOf(m[1] + ", " + m[2]); a.set == (dial{}) {
		return a
	}
	a.none = false
	if m := sheetTop.FindStringSubmatch(text); m != nil {
		a.top = degreesOf(m[1])
	}
	p := d.promiseOf("sheet", tablet, id, a)
	if strings.Contains(text, "Nothing, as it is") {
		p.exit, a.none = "sheet, in large type though it holds for nothing", true
	}
	d.report(d.log.judge(p)...)
	for _, m := range sheetDrop.FindAllStringSubmatch(text, -1) {
		drop := p
		drop.exit, drop.at, drop.lower = "sheet, drop-to", degreesOf(m[1]), true
		drop.set, _ = dialOf(m[2])
		d.report(d.log.judge(drop)...)
	}
	return a
}

// promiseOf is an answer of an exit as a promise at no temperature of its own.
func (d *day) promiseOf(exit string, tablet int, id string, a answer) promise {
	return promise{exit: exit, tablet: tablet, id: id, set: a.set, at: math.NaN(), top: a.top, until: a.until, now: d.now}
}

// scratch is a copy of a tablet's library, to try in it what writes.
func (d *day) scratch(tablet int) *profiles.Library {
	from, to := d.tablets[tablet].Where(), filepath.Join(d.dir, "scratch")
	require.NoError(d.t, os.RemoveAll(to))
	require.NoError(d.t, filepath.WalkDir(from, func(path string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(from, path)
		if e.IsDir() {
			return os.MkdirAll(filepath.Join(to, rel), 0o777)
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		return os.WriteFile(filepath.Join(to, rel), data, 0o666)
	}))
	l, err := rehearsal.OpenLibrary(to, func() time.Time { return d.now }, rand.NewChaCha8([32]byte{byte(d.seed), 9}))
	require.NoError(d.t, err)
	return l
}

// dialInRun asks what a run with a profile lets the crew dial, over a range of temperatures.
func (d *day) dialInRun(tablet int, id string, around float64) answer {
	a := answer{exit: "run", top: math.NaN(), none: true}
	begun, err := d.scratch(tablet).NewRun(profiles.RunPlan{Profile: id, People: profiles.RunPeople{Operator: "AB", Watcher: "CD"}})
	if err != nil {
		d.counts["run: refused"]++
		a.why = "run: " + err.Error()
		return a
	}
	defer func() { _ = begun.Close() }()
	d.counts["exit run"]++
	at := begun.Engine()
	rig, own := at.Plan.Rig, at.Plan.Setting
	from, step := math.Round(around)-12, 1.0
	if rig.GripUnit == "bar" { // a thermometer in whole °C
		from, step = 32+1.8*math.Round((around-32)/1.8-6), 1.8
	}
	for f := from; f <= around+26 || a.top > f-step*1.5; f += step { // past that as long as the whole setting holds
		back := at.ReadBack(engine.Dialled{Setting: own, CableTemperature: q.Known(q.From[q.Temperature](f, "°F"))})
		allowed, some := back.Allowed.Get()
		if !some {
			continue
		}
		p := promise{exit: "run", tablet: tablet, id: id, set: inLog(rig, allowed), at: f, top: math.NaN(), now: d.now}
		switch {
		case back.Warmth == engine.Warmer:
			p.exit, p.lower = "run, drop-to", true
		default: // the whole setting, in the band or on a colder cable
			a.set, a.none, a.top, p.top = p.set, false, f, f
		}
		d.report(d.log.judge(p)...)
	}
	return a
}

var reachSafe = regexp.MustCompile(`(?m)^safe = .*$`)

// reach asks how far the push of a profile brings the cable.
func (d *day) reach(tablet int, id string) answer {
	a := answer{exit: "reach", top: math.NaN(), none: true}
	text := reachSafe.ReplaceAllString(string(readFile(d.t, "../../testdata/jobs/reach_example.toml")), fmt.Sprintf("profile = %q", id))
	text = regexp.MustCompile(`(?m)^drive_limit.*$`).ReplaceAllString(text, "")
	path := filepath.Join(d.dir, "reach.toml")
	require.NoError(d.t, os.WriteFile(path, []byte(text), 0o666))
	r, err := d.tablets[tablet].ReadReach(profiles.Source{Path: path, Text: []byte(text)})
	if err != nil {
		d.counts["reach: no answer"]++
		return a
	}
	d.counts["exit reach"]++
	for _, note := range r.Notes {
		if at := strings.Index(note, "grip pressure "); at >= 0 {
			a.set, _ = dialOf(note[at:])
			a.none = false
		}
	}
	if a.none {
		return a
	}
	d.report(d.log.judge(d.promiseOf("reach", tablet, id, a))...)
	const perSpeed = 1300.0 // N/(m/s), of the day's one pull test
	if most := perSpeed * a.set.speed / perUnit["m/s"]; float64(r.Push.Safe) > most*(1+near) {
		d.report(finding{"I2 push of reach above its setting's", fmt.Sprintf("profile %s: %.1f N, its setting gives %.1f N", tail(id), float64(r.Push.Safe), most)})
	}
	return a
}

// review asks for the supervisor's list as other programs read it.
func (d *day) review(tablet int) map[string]answer {
	var out, told bytes.Buffer
	if err := show.PrintReview(d.tablets[tablet], show.ReviewAsked{JSON: true}, nil, show.ReviewOut{Out: &out, Told: &told}); err != nil {
		d.counts["review: no answer"]++
		return nil
	}
	d.counts["exit review --json"]++
	var list struct {
		Profiles []struct {
			ID         string
			State      string
			Setting    *struct{ Grip, Speed struct{ Text string } }
			Exceptions []struct{ Kind string }
		}
	}
	require.NoError(d.t, json.Unmarshal(out.Bytes(), &list))
	all := map[string]answer{}
	for _, p := range list.Profiles {
		of := d.log.proofs[p.ID]
		if p.Setting == nil || of == nil {
			continue
		}
		a := answer{exit: "review --json", top: math.NaN()}
		a.set, _ = dialOf(p.Setting.Grip.Text + ", " + p.Setting.Speed.Text)
		if st := of.state[tablet]; len(p.Exceptions) == 0 && (st == broken || st == sealsOff) {
			d.report(finding{"edited: the review says nothing of it", fmt.Sprintf("profile %s, setting %s", tail(p.ID), a.set)})
		}
		for _, ruled := range d.log.said {
			if ruled.profile == p.ID && ruled.action == "withdraw" && d.log.knows(tablet, ruled.id) && p.State != "withdrawn" {
				d.report(finding{"I6 withdrawn, and the review says " + p.State, "profile " + tail(p.ID)})
			}
		}
		all[p.ID] = a
	}
	return all
}

// planned asks what a short check of a profile would push with.
func (d *day) planned(tablet int, id string, job profiles.Record) answer {
	a := answer{exit: "short check", top: math.NaN(), none: true}
	job.Kind, job.Of, job.Earlier, job.Plan = session.ShortCheck, id, "", profiles.Plan{}
	plan, err := d.tablets[tablet].Planned(job)
	if err != nil {
		d.counts["short check: refused"]++
		return a
	}
	d.counts["exit short check"]++
	a.set, a.none = dial{}, false
	a.set, _ = dialOf(plan.Plan.Grip.String() + ", " + plan.Plan.Speed.String())
	if a.set == (dial{}) {
		a.none = true
		return a
	}
	d.report(d.log.judge(d.promiseOf("short check", tablet, id, a))...)
	return a
}
