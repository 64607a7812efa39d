package command

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
	"brinkmark/ui/rehearsal"
)

// course is what a run is to become.
type course struct {
	id      string // of its record; "" while it is not begun
	profile string
	end     string // arrive, fold, mark, early, leave, kill
	over    bool   // dials above what it is told
	logs    int    // points to log before the end
	told    dial   // as the page has it
	warm    float64
	ended   bool
}

// aRun begins a run with a profile and leads it to its end.
func (h *hand) aRun(profile string) {
	d := h.d
	k, page, err := ask.RunRecord(h.k, h.lib, profile)
	if err != nil {
		d.step("run refused", "%d no run with %s: %v", h.tablet+1, tail(profile), err)
		return
	}
	h.k, h.page = k, page
	c := course{profile: profile, end: pick(d, []string{"arrive", "arrive", "fold", "fold", "fold", "mark", "mark", "early", "leave", "kill"}), over: d.chance(0.2), logs: d.random.IntN(4), warm: math.NaN()}
	d.step("run", "%d run with %s begins, to end in %s", h.tablet+1, tail(profile), c.end)
	had := h.runFiles()
	for n := 0; n < 150 && !h.leaving && h.k.Trial == nil; n++ {
		q := h.question()
		d.counts["page "+q.ID]++
		if q.ID == "closed" {
			d.counts["runs closed"]++
			break
		}
		if c.ended && (c.end == "leave" || c.end == "kill") {
			d.step(c.end, "%d %ss the run", h.tablet+1, c.end)
			break
		}
		h.seeLabels(q, &c)
		h.inRun(q, &c)
		if c.id == "" {
			c.id = newest(had, h.runFiles())
		}
		h.learnRun(&c)
		d.askCheap(h.tablet)
	}
	h.leave()
}

func (h *hand) runFiles() []string {
	files, _ := filepath.Glob(filepath.Join(h.lib.Where(), "runs", "*.toml"))
	return files
}

// newest is the id of the file that was not there.
func newest(had, now []string) string {
	for _, f := range now {
		if !slices.Contains(had, f) {
			return strings.TrimSuffix(filepath.Base(f), ".toml")
		}
	}
	return ""
}

// inRun answers one page of a run.
func (h *hand) inRun(q ask.Question, c *course) {
	d := h.d
	press := func(texts ...string) bool {
		at := labelled(q, texts...)
		if at >= 0 {
			h.told(h.choose(q, at))
		}
		return at >= 0
	}
	switch {
	case thermometer(q) != "":
		h.warmth(q, c)
	case strings.Contains(q.ID, "dial") && len(q.Big) > 0:
		h.seeDial(q, c)
		h.onward(q)
	case q.Enter != nil && (strings.HasSuffix(q.ID, "-grip") || strings.HasSuffix(q.ID, "-speed")) && c.told != (dial{}):
		h.reading(q, c)
	case c.over && press("keep it"):
	case c.over && (q.ID == "run-who" || q.ID == "run-why") && len(q.Choices) > 1:
		h.told(h.choose(q, 1))
	case q.ID == "run-loops" && press("no "):
	case q.ID == "run-compared" && labelled(q, "use it") < 0:
		c.over = false
		h.onward(q)
	case q.ID == "run-running" && d.chance(0.06):
		h.told(h.undo(q))
	case q.ID == "run-running":
		h.moving(q, c, press)
	case q.ID == "run-stopped" && c.ended && c.end != "arrive" && press("run ends here"):
	case q.ID == "run-end" && c.end != "arrive" && c.end != "mark" && press("short of it"):
	case q.ID == "run-jacket" && c.end == "mark" && press("marked"):
		d.step("jacket marked in a run", "%d the jacket was marked", h.tablet+1)
	default:
		h.onward(q)
	}
}

// moving is what happens while the cable moves.
func (h *hand) moving(q ask.Question, c *course, press func(...string) bool) {
	d := h.d
	if c.logs > 0 {
		c.logs--
		d.pass(4 * 60e9)
		switch {
		case d.chance(0.3) && press("another reading"):
		case press("log a point"):
		default:
			h.onward(q)
		}
		return
	}
	c.ended = true
	switch c.end {
	case "fold":
		if at := labelled(q, "stands"); at >= 0 {
			h.told(h.choose(q, at))
			h.folds(c)
			return
		}
	case "early", "leave", "kill":
		if press("stands") {
			return
		}
	}
	if !press("arrived") {
		h.onward(q)
	}
}

// folds tells the stop's page that the cable folded: it can only tighten what is said.
func (h *hand) folds(c *course) {
	q := h.question()
	at := slices.IndexFunc(q.Choices, func(c ask.Choice) bool { return c.Look == draw.LookFold })
	if at < 0 {
		at = labelled(q, "fold")
	}
	if at < 0 {
		return
	}
	h.d.guarded(h.tablet, "a fold in a run", func() {
		h.d.step("fold in a run", "%d the cable folded", h.tablet+1)
		h.told(h.choose(q, at))
		h.learnRun(c)
	})
}

// warmth reads a thermometer in a run, wrongly now and then and then rightly.
func (h *hand) warmth(q ask.Question, c *course) {
	which := thermometer(q)
	text := h.reads(which)
	if which == "cable" && h.d.chance(0.06) {
		text = h.d.shown(h.s, h.d.cableIs(h.s)+30)
		h.d.step("temperature mistyped", "%d mistypes it in a run: %s", h.tablet+1, text)
		if h.enter(q, text) == nil {
			h.learnRun(c)
			h.told(h.undo(h.question()))
		}
		return
	}
	if which == "air" && h.d.chance(0.4) { // not read yet
		h.onward(q)
		return
	}
	if err := h.enter(q, text); err != nil {
		h.told(err)
		h.onward(q)
		return
	}
	if f := degreesOf(text); math.IsNaN(c.warm) || which == "air" && f > c.warm || which == "cable" {
		c.warm = f
	}
}

// seeDial judges what the page tells to dial.
func (h *hand) seeDial(q ask.Question, c *course) {
	var text []string
	for _, b := range q.Big {
		text = append(text, b.Text)
	}
	set, ok := dialOf(strings.Join(text, ", "))
	if !ok {
		return
	}
	c.told = set
	h.d.counts["exit run page"]++
	h.d.report(h.d.log.judge(promise{exit: "run page", tablet: h.tablet, id: c.profile, set: set, at: c.warm, top: math.NaN(), now: h.d.now})...)
}

// seeLabels judges a setting that a press of a run would write, such as one turned down.
func (h *hand) seeLabels(q ask.Question, c *course) {
	for _, choice := range q.Choices {
		if set, ok := dialOf(choice.Label); ok && choice.Rank == ask.Major && choice.Also == nil && strings.HasPrefix(q.ID, "run-") && q.ID != "run-which" {
			h.d.counts["exit run press"]++
			h.d.report(h.d.log.judge(promise{exit: "run press", tablet: h.tablet, id: c.profile, set: set, at: math.NaN(), top: math.NaN(), now: h.d.now, lower: true})...)
		}
	}
}

// reading types what a gauge reads: what was told, or more.
func (h *hand) reading(q ask.Question, c *course) {
	v, unit := c.told.speed, h.s.unit
	if strings.HasSuffix(q.ID, "-grip") {
		if v, unit = c.told.grip, "psi"; h.s.metric {
			unit = "bar"
		}
	} else if c.over {
		v = v*1.15 + 1
		h.d.step("override", "%d dials above what it is told", h.tablet+1)
	}
	text := fmt.Sprintf("%.4g %s", math.Round(v/perUnit[unit]*1000)/1000, unit)
	if err := h.enter(q, text); err != nil {
		h.told(err)
		h.onward(q)
	}
}

// learnRun takes down what the run's record says folded or was marked, and at what.
func (h *hand) learnRun(c *course) {
	if c.id == "" {
		return
	}
	r, _, err := rehearsal.ReadRunFile(filepath.Join(h.lib.Where(), "runs", c.id+".toml"))
	if err != nil {
		if !os.IsNotExist(err) {
			h.d.report(finding{"record: a run cannot be read", err.Error()})
		}
		return
	}
	m := h.d.marksOf(r.ID)
	m.take(runEntries(r), r.Undos, h.undoing)
	h.entries = m.newest + len(r.Undos)
	if m.left != "" {
		h.d.report(finding{"I3 undo takes back a part of what the press did, in a run: " + m.left, "run " + tail(r.ID)})
		m.left = ""
	}
	h.undoing = false
	h.d.hurtsOf(r, h.tablet, m)
}
