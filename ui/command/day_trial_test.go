package command

import (
	"math"
	"regexp"
	"strings"
	"time"

	"brinkmark/profiles"
	"brinkmark/ui/ask"
)

// slips of one crew: what it does wrong now and then, and how it mends it.
type haste struct {
	dialled  dial   // as the last page had it
	claimed  string // outcome told and not yet seen in the record
	had      int    // the last attempt then
	mend     string // "": nothing to mend; reading, temperature by undo, temperature again
	wanted   string // how the trial is to end: "", stop, leave, kill
	pushes   int
	mistakes float64
}

// trial begins one on a job and leads it to where it ends.
func (h *hand) trial(job profiles.Record) {
	k, _, err := h.k.Begin(ask.Begin{Job: job})
	if err != nil {
		h.d.step("refused", "%d no trial: %v", h.tablet+1, err)
		return
	}
	h.k, h.flow = k, k.First()
	h.d.step("trial", "%d trial %s begins: %s, %s %s, %s, reel %q, %s", h.tablet+1, tail(h.k.Trial.Record().ID), job.Kind, job.Cable.Type, job.Duct.Size, job.Rig.Name, job.Cable.Reel, job.Conditions.CableTemperature)
	h.lead()
}

// lead goes on with the open trial.
func (h *hand) lead() {
	d := h.d
	hs := haste{mistakes: 0.35 * d.random.Float64()}
	switch d.random.IntN(14) {
	case 0:
		hs.wanted = "stop"
	case 1:
		hs.wanted = "leave"
	case 2:
		hs.wanted = "kill"
	}
	from := 2 + d.random.IntN(9)
	for n := 0; n < 190 && !h.leaving && h.k.Trial != nil; n++ {
		q := h.question()
		h.seePage(q)
		if q.ID == "closed" {
			d.counts["trials closed"]++
			break
		}
		acted := false
		if hs.pushes >= from && hs.wanted != "" {
			over := false
			if over, acted = h.cutShort(q, &hs); over {
				break
			}
		}
		if !acted {
			h.one(q, &hs)
		}
		h.learn(&hs)
		d.askCheap(h.tablet)
	}
	h.leave()
}

// cutShort ends a trial before its time.
func (h *hand) cutShort(q ask.Question, hs *haste) (over, acted bool) {
	switch hs.wanted {
	case "leave":
		h.d.step("leave", "%d leaves", h.tablet+1)
		return true, true
	case "kill":
		id := h.k.Trial.Record().ID
		h.kill()
		hs.wanted, hs.claimed = "", "" // what was told and not yet written is told anew
		if h.d.chance(0.7) {
			h.openAgain(id)
			return h.k.Trial == nil, true
		}
		return true, true
	case "stop":
		if at := labelled(q, "stop, no setting", "stop: close", "refuse it"); at >= 0 {
			h.d.step("stop", "%d stops without a setting", h.tablet+1)
			h.told(h.choose(q, at))
			return false, true
		}
	}
	return false, false
}

func (h *hand) openAgain(id string) {
	k, _, err := h.k.Resume(id)
	if err != nil {
		h.d.step("refused", "%d cannot go on with %s: %v", h.tablet+1, tail(id), err)
		return
	}
	h.d.step("resume", "%d goes on with %s", h.tablet+1, tail(id))
	h.k, h.flow = k, k.First()
}

// one answers one page of a trial.
func (h *hand) one(q ask.Question, hs *haste) {
	d := h.d
	if q.Setting != nil && q.ID != "setting" {
		set := *q.Setting
		hs.dialled, _ = dialOf(h.flow.Trial.Rig.Show(set))
	}
	switch {
	case outcomes(q) != nil:
		h.outcome(q, outcomes(q), hs)
	case hs.mend == "reading":
		hs.mend = ""
		if at := labelled(q, "read it again", "not true"); at >= 0 {
			d.step("read again", "%d reads the push again", h.tablet+1)
			hs.dialled = h.lastPush()
			h.told(h.choose(q, at))
		} else {
			h.told(h.undo(q))
		}
	case hs.mend == "undo":
		hs.mend = ""
		h.told(h.undo(q))
	case q.ID == "temperature-was":
		h.wasTemperature(q)
	case thermometer(q) != "":
		h.temperature(q, hs)
	case strings.HasPrefix(q.ID, "dial") && d.chance(hs.mistakes+0.04) && h.atDial(q, hs):
	case q.ID == "setting" && d.chance(0.25) && h.atSetting(q):
	case labelled(q, "tag for the lid") >= 0 && d.chance(0.1):
		h.told(h.choose(q, labelled(q, "tag for the lid")))
	default:
		h.onward(q)
	}
}

// atDial does what a crew does between two pushes, besides pushing.
func (h *hand) atDial(q ask.Question, hs *haste) bool {
	d := h.d
	try := func(kind string, texts ...string) bool {
		at := labelled(q, texts...)
		if at < 0 {
			return false
		}
		d.step(kind, "%d %s", h.tablet+1, kind)
		h.told(h.choose(q, at))
		return true
	}
	if hs.mend == "again" && try("temperature corrected", "cable temperature", "cable's temperature") {
		return true
	}
	switch d.random.IntN(6) {
	case 0:
		h.told(h.undo(q))
		return true
	case 1:
		return try("jacket marked", "jacket marked")
	case 2, 3:
		return try("cable read", "cable temperature", "cable's temperature")
	case 4:
		if labelled(q, "read it again") >= 0 {
			hs.dialled = h.lastPush()
			return try("read again", "read it again")
		}
	}
	return false
}

// atSetting does what a crew may do with a setting, besides accepting it.
func (h *hand) atSetting(q ask.Question) bool {
	switch h.d.random.IntN(4) {
	case 0:
		if at := labelled(q, "lower speed"); at >= 0 {
			h.d.step("lower", "%d wants a lower speed", h.tablet+1)
			h.told(h.choose(q, at))
			return true
		}
	case 1:
		if at := labelled(q, "refuse"); at >= 0 {
			h.d.step("refuse", "%d refuses the setting", h.tablet+1)
			h.told(h.choose(q, at))
			return true
		}
	case 2:
		h.told(h.undo(q))
		return true
	}
	return false
}

// wasTemperature says whether the cable has changed since pushes were made, or was never so.
func (h *hand) wasTemperature(q ask.Question) {
	says := "changed since"
	if h.wrong && !h.wrongNow || h.d.chance(0.1) {
		says = "mistyped"
	}
	h.wrong = h.wrongNow
	h.d.step("temperature "+says, "%d says of the cable's temperature before: %s", h.tablet+1, says)
	h.told(h.choose(q, labelled(q, says)))
}

// temperature reads a thermometer, wrongly now and then.
func (h *hand) temperature(q ask.Question, hs *haste) {
	which := thermometer(q)
	text := h.reads(which)
	if which == "cable" && hs.mend == "" && h.d.chance(0.5*hs.mistakes) {
		text = h.d.shown(h.s, h.d.cableIs(h.s)+pick(h.d, []float64{33, 33, 12, -15, 300}))
		hs.mend = pick(h.d, []string{"undo", "again", "again", ""})
		h.d.step("temperature mistyped", "%d mistypes the cable's temperature: %s", h.tablet+1, text)
		h.wrong, h.wrongNow = true, true
	} else if which == "cable" {
		hs.mend, h.wrongNow = "", false
	}
	sign := "temperature " + q.ID
	if h.visits[sign]++; h.visits[sign] > 12 {
		h.onward(q)
		return
	}
	if err := h.enter(q, text); err != nil {
		h.told(err)
		hs.mend = ""
		h.onward(q)
	}
}

// outcome tells what the push did, wrongly now and then.
func (h *hand) outcome(q ask.Question, at map[string]int, hs *haste) {
	d := h.d
	told, marked := d.happens(h.s, hs.dialled)
	hs.pushes++
	switch {
	case d.chance(0.05):
		told = "void"
		d.counts["step void push"]++
	case d.chance(0.03):
		told = pick(d, []string{"stall", "slip", "fold"})
		d.counts["step misread"]++
		if hs.mend == "" && d.chance(0.6) {
			hs.mend = "reading"
		}
	}
	if marked && d.chance(0.7) {
		d.counts["step push that marks"]++
	}
	if _, offered := at[told]; !offered {
		h.onward(q)
		return
	}
	hs.claimed, hs.had = told, lastAttempt(h.k.Trial.Record())
	h.told(h.choose(q, at[told]))
}

// lastPush is the setting of the push on record last: "read it again" reads that one again.
func (h *hand) lastPush() dial {
	pushes := h.d.proofOf(h.k.Trial.Record(), h.tablet).pushes
	if len(pushes) == 0 {
		return dial{}
	}
	return pushes[len(pushes)-1].dial
}

// learn takes down what the press has put on record, press by press.
func (h *hand) learn(hs *haste) {
	if h.k.Trial == nil {
		return
	}
	r := h.k.Trial.Record()
	marks := h.d.marksOf(r.ID)
	marks.take(entriesOf(r), r.Undos, h.undoing)
	h.entries = marks.newest + len(r.Undos)
	if left := marks.left; left != "" {
		h.d.report(finding{"I3 undo takes back a part of what the press did: " + left, "trial " + tail(r.ID) + ": " + left + " stays"})
		marks.left = ""
	}
	h.undoing = false
	of := h.d.proofOf(r, h.tablet)
	h.d.keepJob(r, of)
	if n := len(of.pushes); n > 0 && hs.claimed != "" && lastAttempt(r) > hs.had {
		last := of.pushes[n-1]
		if last.outcome != hs.claimed || !same(last.grip, hs.dialled.grip) || !same(last.speed, hs.dialled.speed) {
			h.d.report(finding{"record: a push is not as it was told", "told " + hs.claimed + " at " + hs.dialled.String() + ", on record " + last.outcome + " at " + last.String()})
		}
		hs.claimed = ""
	}
}

func lastAttempt(r profiles.Record) int {
	last := 0
	for _, a := range r.Attempts {
		last = max(last, a.Seq)
	}
	return last
}

var (
	tagTop   = regexp.MustCompile(`^Cable and air up to (-?\d+ °[FC])`)
	tagUntil = regexp.MustCompile(`Until (\d\d:\d\d) on (\d{4}-\d\d-\d\d) \(end of shift\)`) // or sooner, for the weather
	pageTop  = regexp.MustCompile(`(?i)cable and inlet air up to (-?\d+ °[FC])`)
)

// tagOf reads a tag for the lid: setting, band and expiry.
func tagOf(lines []string) (a answer, ok bool) {
	a.top = math.NaN()
	for i, line := range lines {
		line = strings.TrimSpace(line)
		if m := tagTop.FindStringSubmatch(line); m != nil && i > 0 {
			a.set, ok = dialOf(lines[i-1])
			a.top = degreesOf(m[1])
		}
		if m := tagUntil.FindStringSubmatch(line); m != nil {
			a.until, _ = time.Parse("15:04 2006-01-02", m[1]+" "+m[2])
		}
	}
	return a, ok
}

// seePage judges what a page of a trial promises.
func (h *hand) seePage(q ask.Question) {
	h.d.counts["page "+q.ID]++
	if h.k.Trial == nil {
		return
	}
	r := h.k.Trial.Record()
	of := h.d.proofOf(r, h.tablet)
	p := promise{exit: "page " + q.ID, tablet: h.tablet, id: r.ID, at: math.NaN(), top: math.NaN(), now: h.d.now, most: h.s.most, reel: r.Cable.Reel}
	if q.ID == "setting" && q.Setting != nil {
		p.set, _ = dialOf(h.flow.Trial.Rig.Show(*q.Setting))
		for _, line := range q.Body {
			if m := pageTop.FindStringSubmatch(line); m != nil {
				p.top = degreesOf(m[1])
			}
		}
		h.d.counts["exit setting page"]++
		h.d.report(h.d.log.judge(p)...)
	}
	if tag, ok := tagOf(q.Body); ok {
		p.exit, p.set, p.top, p.until = "tag", tag.set, tag.top, tag.until
		if !of.saved {
			if h.flow.Cover == nil || h.flow.Cover.Best == nil {
				return
			}
			p.id = h.flow.Cover.Best.ID
		}
		h.d.counts["exit tag page"]++
		h.d.report(h.d.log.judge(p)...)
	}
}
