package run

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"brinkmark/session"
)

// proveChecks are asked while the duct is proved.
//
// Source: common practice, no source; airtight duct and joints: FTTH Council Europe Handbook
// 2009 (seen in copies only).
var proveChecks = []session.Check{
	beforeAnyAir(),
	{
		ID: "right-duct", Block: session.DuctProof, Ask: "Which duct is it, at both ends?",
		States:      []string{"same number or colour", "not compared", "they differ"},
		RightStates: 1,
		Why:         "Air and cable go wherever this duct goes.",
		How:         "Both ends read the number or colour aloud, and they agree.",
		Wrong:       "Somebody else's duct is blown into, or a live one.",
		Teach:       "The drawing is not what is in the ground. Read it off the duct, twice.",
		Killer:      true,
	},
	{
		ID: "shot-far-end", Block: session.DuctProof, Ask: "Far end, before swab and mandrel?",
		States:      []string{"says clear, catch fitted", "no answer", "someone is near"},
		RightStates: 1,
		Why:         "Swab and mandrel leave the duct like a shot.",
		How:         "They say clear by radio, out of line with the duct, before each shot.",
		Wrong:       "Somebody is struck by what comes out.",
		Teach:       "No answer is a no. Ask before each shot, not once for all.",
		Alone:       true, Killer: true,
	},
	{
		ID: SwabCheck, Block: session.DuctProof, Ask: "What did the last swab bring?",
		States:      []string{"clean and dry", "water", "dirt or grit"},
		RightStates: 1,
		Why:         "Water and grit brake the cable where nobody can reach it.",
		How:         "Swab until one comes out clean and dry.",
		Wrong:       "The run slows far out and nobody knows why.",
		Teach:       "A slug of water lies at the low point and takes the air's push away.",
	},
	{
		ID: "proof-vented", Block: session.DuctProof, Ask: "The duct after its pressure test?",
		States:      []string{"vented, gauge at zero", "no pressure was held", "still holds pressure"},
		RightStates: 2,
		Why:         "A shut duct that holds air is a gun.",
		How:         "Air shut at its source, bleed open, gauge at zero; only then plug or cap off.",
		Wrong:       "The plug leaves into whoever loosens it.",
		// Ejected test fittings: HSE GS4, seen in copies only.
		Teach:  "People were killed by fittings of a pressure test that let go. Read zero first.",
		Killer: true, After: []session.Event{session.DuctHeld},
	},
}

// airChecks are asked before any air; some of them are those of the carry-over, asked again
// because hours may lie between.
var airChecks = []session.Check{
	carried("stub-and-plug-out"),
	{
		ID: "hoses-tied", Block: session.AirNext, Ask: "Hoses and fittings?",
		States:      []string{"rated, every joint tied", "a joint is not tied", "rating not known"},
		RightStates: 1,
		Why:         "A hose that lets go whips.",
		How:         "Ratings read off hose and fittings, above the supply; a restraint at each joint.",
		Wrong:       "A loose hose breaks bones.",
		Teach:       "The lowest rating counts, and that may be a coupler on the duct.",
		Killer:      true,
	},
	carried("seals-fitted"),
	carried("fresh-end-headed"),
	carried("lead-in-back"),
	{
		ID: "air-cool-dry", Block: session.AirNext, Ask: "Air at the compressor's outlet?",
		States:      []string{"cool and dry, trap drained", "warm", "wet"},
		RightStates: 1,
		Why:         "Warm air softens duct and cable; water in it brakes.",
		How:         "A thermometer fixed at the cooler's outlet reads hardly more than the day. Never a hand in the stream.",
		Wrong:       "The setting is too strong for the softened cable.",
		Teach:       "Write the air's temperature at the duct's mouth into the log as well.",
		Perishable:  true,
	},
	since(table2, carried(session.CheckGuards)), // the drive runs for its setting to be read back
	since(table2, carried(session.CheckStop)),
	farEndClear(),
}

// stopChecks are asked before a restart.
var stopChecks = []session.Check{farEndClear()}

// arriveChecks are asked when the pushing is over.
//
// Source: common practice, no source; close, bleed, read zero: HSE GS4 (seen in copies only).
var arriveChecks = []session.Check{
	{
		ID: ItemMadeSafe, Block: session.AtArrival, Ask: "Made safe?",
		States:      []string{"all done, gauge reads zero", "still venting", "not shut at its source"},
		RightStates: 1,
		Why:         "A seal that is opened under pressure flies, and belts that start take a hand in.",
		How:         makeSafe(),
		Wrong:       "Seal or cable leaves into whoever opens it.",
		Teach:       "Arrived is the moment when people reach in. Zero first, on the gauge, aloud.",
		Alone:       true, Killer: true,
	},
	{
		ID: "ends-capped", Block: session.AtArrival, Ask: "Both cable ends?",
		States:      []string{"capped", "one is bare"},
		RightStates: 1,
		Why:         "A bare end drinks water.",
		How:         "A cap that seals, on the end in the ground and on the reel's.",
		Wrong:       "Water stands in the cable.",
		Teach:       "Cap it at once, before slack and loops.",
	},
	{
		ID: "ducts-sealed", Block: session.AtArrival, Ask: "The ducts at both ends?",
		States:      []string{"all sealed, spares too", "some are open"},
		RightStates: 1,
		Why:         "Water and gas travel in open ducts.",
		How:         "A seal round the cable, a plug in each spare.",
		Wrong:       "The chamber floods, or gas comes to it.",
		Teach:       "Every duct, not only ours.",
	},
}

// stageChecks are the checks of each stage.
var stageChecks = map[Stage][]session.Check{
	ProveStage: proveChecks, AirStage: airChecks, StopStage: stopChecks, ArriveStage: arriveChecks,
}

// carried is a check between trial and run.
func carried(id string) session.Check {
	c, known := session.CheckByID(id)
	if !known {
		panic("run: no check is named " + id)
	}
	c.Block, c.Since = session.AirNext, ""
	return c
}

// beforeAnyAir is asked before the duct is blown through: that is the first air. A run that is past
// it is asked before the cable's.
func beforeAnyAir() session.Check {
	c := since(table2, carried("stub-and-plug-out"))
	c.Block = session.DuctProof
	return c
}

// The names of the tables of a run's checks, the first and the newest last: as those of a trial,
// see [session.CheckTable].
const table2 = "table-2"

var tableNames = []string{"", table2}

// CheckTable is the name of the table that new runs are asked by.
func CheckTable() string { return tableNames[len(tableNames)-1] }

// KnownTable returns an error for the name of a table that this version does not know.
func KnownTable(name string) error {
	if slices.Contains(tableNames, name) {
		return nil
	}
	return fmt.Errorf("the run's table of checks is of a newer version; this one knows %s", strings.Join(tableNames[1:], " and "))
}

func since(table string, c session.Check) session.Check {
	c.Since = table
	return c
}

// asked are those of a table of checks that the record's own table has.
func (r Run) asked(table []session.Check) []session.Check {
	of := slices.Index(tableNames, r.Checks)
	return slices.DeleteFunc(slices.Clone(table), func(c session.Check) bool { return slices.Index(tableNames, c.Since) > of })
}

// farEndClear is the gate of the air, opened again by every stop.
func farEndClear() session.Check {
	c := carried("far-end-clear")
	c.After = []session.Event{session.RunStopped}
	return c
}

// CheckByID returns the check of a run of that id.
func CheckByID(id string) (session.Check, bool) {
	for stage := ProveStage; stage <= ArriveStage; stage++ {
		table := stageChecks[stage]
		if i := slices.IndexFunc(table, func(c session.Check) bool { return c.ID == id }); i >= 0 {
			return session.DueOf(table[i:i+1], session.CheckLog{}, time.Time{})[0], true
		}
	}
	return session.Check{}, false
}

// Checks returns all checks of a run in the order they are asked.
func Checks() []session.Check {
	var all []session.Check
	for _, table := range [][]session.Check{proveChecks, airChecks, arriveChecks} {
		for _, c := range session.DueOf(table, session.CheckLog{}, time.Time{}) {
			if !slices.ContainsFunc(all, func(before session.Check) bool { return before.ID == c.ID }) { // asked again after a pause
				all = append(all, c)
			}
		}
	}
	return all
}

// SwabbedClean reports whether the last swab is said to have come out clean and dry.
func (r Run) SwabbedClean() bool {
	state := ""
	for _, e := range r.standing() {
		if a, ok := e.(session.Answer); ok && a.Item == SwabCheck && a.SkipReason == "" {
			state = a.State
		}
	}
	c, _ := CheckByID(SwabCheck)
	return c.Right(state, "")
}

// SwabCheck asks what the last swab brought.
const SwabCheck = "duct-clean"

// Due returns the checks that are open at a time: those of the stage by the rules of
// [session.DueChecks]. Running has none.
func (r Run) Due(now time.Time) []session.Check {
	stage, _ := r.Stage()
	return session.DueOf(r.asked(stageChecks[stage]), session.CheckLog{Past: r.happened(), Trainee: r.People.Trainee}, now)
}

// ItemLeft is the item of the answer that drive and air were made safe before the crew left a run
// that goes on.
const ItemLeft = "left-safe"

// ItemMadeSafe is the check that drive and air were made safe at the end.
const ItemMadeSafe = "run-vented"

// madeSafeBefore is its right answer in records of before the drive's supply was asked for: they
// stay closed as they were.
const madeSafeBefore = "stopped, shut, gauge at zero"

// MadeSafe reports whether the record ends in drive and air made safe: by the check at the end.
func (r Run) MadeSafe() bool {
	safe := false
	for _, e := range r.standing() {
		if a, ok := e.(session.Answer); ok && a.Item == ItemMadeSafe {
			safe = asNow(a.Item, a.State) == arriveChecks[0].States[0]
		}
	}
	return safe
}

// asNow is an answer of an older record in the words of now.
func asNow(item, state string) string {
	if item == ItemMadeSafe && state == madeSafeBefore {
		return arriveChecks[0].States[0]
	}
	return state
}

// happened is the record as the checks see it. An entry taken back still shows that the crew
// was at work.
func (r Run) happened() []session.Happened {
	dropped := r.dropped()
	log := make([]session.Happened, 0, len(r.Entries))
	for _, e := range r.Entries {
		h := session.Happened{At: e.When()}
		if !dropped[e.Number()] {
			switch e := e.(type) {
			case session.Answer:
				h.Check, h.State, h.Value, h.Skipped = e.Item, asNow(e.Item, e.State), e.Value, e.SkipReason != ""
			case Stop:
				h.Event = session.RunStopped
			case Proving:
				if e.HeldAt.Known() {
					h.Event = session.DuctHeld
				}
			}
		}
		log = append(log, h)
	}
	return log
}

// missing is what else a stage needs before it can be left, in the crew's words.
func (r Run) missing(stage Stage) []string {
	var open []string
	need := func(there bool, what string) {
		if !there {
			open = append(open, what)
		}
	}
	switch stage {
	case ProveStage:
		_, proved := last[Proving](r)
		need(proved, "the duct's proving sheet")
	case AirStage:
		_, dialled := last[Dialled](r)
		need(dialled, "the dialled setting, read back")
	case ArriveStage:
		closing, found := last[Closing](r)
		need(found, "what was found at the end")
		need(!found || closing.StubRetired.Known(), "whether the stub is retired")
	}
	return open
}

// cautionMoments are the cautions of each stage.
var cautionMoments = map[Stage]session.Moment{
	ProveStage: session.BeforeAir, AirStage: session.BeforeAir, RunStage: session.DuringRun,
	StopStage: session.DuringRun, ArriveStage: session.BeforeOpening,
}

// Cautions returns what is said at a stage. Venting before anything is opened is said where
// air has been, so while the duct is proved too.
func Cautions(s Stage) []session.Caution {
	list := session.Cautions(cautionMoments[s])
	if s == ProveStage {
		list = slices.Concat(list, session.Cautions(session.TestingDuct), session.Cautions(session.BeforeOpening))
	}
	return list
}

// CautionItem is the item of the answer that a stage's cautions were read: its state is
// [session.CautionsRead], its value the ids shown.
func CautionItem(s Stage) string { return session.ItemCautions + ", " + s.String() }

// DueOnSite returns the next page of the site's and the drive's cautions that was read neither in
// this run nor earlier today by its crew, if any. An older run that is past its first page has none.
func (r Run) DueOnSite(earlier []session.Happened) (session.CautionPage, bool) {
	if stage, _ := r.Stage(); stage != ProveStage || r.Cautioned(ProveStage) {
		return session.CautionPage{}, false
	}
	return session.DueInRun(r.happened(), earlier)
}

// ReadOnSite are the answers that pages of the site's cautions were read.
func (r Run) ReadOnSite() []session.Happened { return session.ReadOnSite(r.happened()) }

// Cautioned reports whether the cautions of a stage were read.
func (r Run) Cautioned(s Stage) bool {
	for _, e := range r.standing() {
		if a, ok := e.(session.Answer); ok && a.Item == CautionItem(s) && a.State == session.CautionsRead {
			return true
		}
	}
	return false
}
