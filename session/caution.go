package session

import (
	"slices"
	"strings"
)

// Caution is a sentence to hear before the moment it is about. It claims no
// compliance with anything: local codes, makers' instructions and licensed people
// come first.
type Caution struct {
	ID        string
	Say       string
	When      Moment
	Authority string // where it comes from, and how surely we know that
}

// Moment is when a caution is shown.
type Moment int

// The moments, in the order of a day.
const (
	WorkingOnSite Moment = iota + 1
	EnteringChamber
	HandlingReels
	BeforeTrial
	BeforeFirstPush
	AfterFold
	CarryingOver
	TestingDuct // by a pressure that is shut in
	BeforeAir
	DuringRun
	BeforeOpening // anything that held air
)

var momentNames = []string{
	"", "working on site", "entering a chamber", "handling reels", "before the trial", "before the first push",
	"after a fold", "carrying over", "before a duct is tested by pressure", "before any air", "during the run", "before opening",
}

func (m Moment) String() string { s, _ := enumText(m, momentNames); return s }

// Cautions returns what is said at that moment, in the order to say it.
func Cautions(m Moment) []Caution {
	return slices.DeleteFunc(slices.Clone(cautions), func(c Caution) bool { return c.When != m })
}

// CautionPage is what is read aloud in one go.
type CautionPage struct {
	Item    string // of the answer that it was read: state [CautionsRead]; value: the ids shown
	Before  string // what it is read before
	Moments []Moment
	Each    bool // in each trial, and not once a day
}

// Cautions returns what the page says.
func (p CautionPage) Cautions() []Caution {
	var said []Caution
	for _, m := range p.Moments {
		said = append(said, Cautions(m)...)
	}
	return said
}

// The pages of a trial. Those of the site are read at the start of a day's first trial or run.
var (
	sitePages = []CautionPage{
		{"cautions, working on site", "work on the site begins", []Moment{WorkingOnSite}, false},
		{"cautions, chambers and reels", "a chamber is entered or a reel moved", []Moment{EnteringChamber, HandlingReels}, false},
	}
	trialPages = []CautionPage{
		{ItemCautions, "anyone touches the drive", []Moment{BeforeTrial}, false},
		{"cautions, before the first push", "the drive runs", []Moment{BeforeFirstPush}, true},
	}
	// runPages are those of a run, which may be on another day than its trial. They are once a
	// day's, whatever it began with.
	runPages = append(slices.Clone(sitePages), CautionPage{"cautions, at the drive", "anyone touches the drive", []Moment{BeforeTrial}, false})

	carryPages = []CautionPage{{"cautions, carrying over", "the stub comes off, and before any air", []Moment{CarryingOver, BeforeAir}, false}}
)

// DueOnSite returns the next page of the site that was not read by this crew today, if any. Of
// these a trainee reads no more than others: the site is the same.
func DueOnSite(past, earlier []Happened) (CautionPage, bool) {
	return CheckLog{Past: past, Earlier: earlier}.unread(sitePages)
}

// DueInRun is the same with the page of the drive, which a trial of the day has asked for.
func DueInRun(past, earlier []Happened) (CautionPage, bool) {
	return CheckLog{Past: past, Earlier: earlier}.unread(runPages)
}

// SiteRead is a log in which the pages of the site were read, for where there is no site.
func SiteRead() []Happened {
	var log []Happened
	for _, p := range sitePages {
		log = append(log, Happened{Check: p.Item, State: CautionsRead})
	}
	return log
}

// Crew are the people who hear cautions read.
type Crew struct{ Operator, Watcher string }

// Same reports whether two crews are the same people, as their names are written.
func (c Crew) Same(o Crew) bool {
	return strings.EqualFold(c.Operator, o.Operator) && strings.EqualFold(c.Watcher, o.Watcher)
}

// ReadOnSite are the answers in a log that pages were read that a run of the day need not read
// again. A trial asks for the drive's own in words of its own.
func ReadOnSite(log []Happened) []Happened {
	var said []Happened
	for _, h := range log {
		if h.Check == ItemCautions {
			h.Check = runPages[len(runPages)-1].Item
		}
		if slices.ContainsFunc(runPages, func(p CautionPage) bool { return p.Item == h.Check }) {
			said = append(said, h)
		}
	}
	return said
}

// ReadOnSite are the answers that pages of the site were read.
func (t Trial) ReadOnSite() []Happened { return ReadOnSite(t.Happened()) }

// EarlierLog is the log of a trial before this one on the same set-up, as far as it counts
// here: what another crew heard read does not.
func (t Trial) EarlierLog(o Trial) []Happened {
	log := o.Happened()
	if t.People.Crew().Same(o.People.Crew()) {
		return log
	}
	return slices.DeleteFunc(log, func(h Happened) bool { return h.State == CautionsRead })
}

// unread is the first of these pages that was not read, by this crew today where that is
// enough. A trainee reads all.
func (l CheckLog) unread(pages []CautionPage) (CautionPage, bool) {
	read := func(p CautionPage, log []Happened) bool {
		return slices.ContainsFunc(log, func(h Happened) bool { return h.Check == p.Item && h.State == CautionsRead })
	}
	for _, p := range pages {
		if !read(p, l.Past) && (p.Each || l.Trainee || !read(p, l.Earlier)) {
			return p, true
		}
	}
	return CautionPage{}, false
}

// DueCautions returns the page to be read aloud before anything else, if any. What a page
// of an older record is about may be done already: then it is not asked for.
func (t Trial) DueCautions(earlier []Happened) (CautionPage, bool) {
	pages := trialPages
	switch {
	case t.StateOf(ItemSaved) != "":
		pages = carryPages
	case len(t.Attempts()) > 0:
		return CautionPage{}, false
	case t.StateOf(ItemCautions) == "":
		if page, due := DueOnSite(t.Happened(), earlier); due {
			return page, true
		}
	}
	return t.log(earlier).unread(pages)
}

const (
	practice   = "common practice, no source"
	fromMemory = "from memory: "
	inCopies   = " (seen in copies only)"
)

var cautions = []Caution{
	{"locate-first", "Before digging or driving a stake: locate tickets in hand, marks fresh.",
		WorkingOnSite, "29 CFR 1926.651(b)" + inCopies},
	{"trench-protected", "Trench of 5 ft or more: protect the walls. From 4 ft: a ladder.",
		WorkingOnSite, fromMemory + "29 CFR 1926.651(c)(2), 1926.652"},
	{"traffic-both-ends", "Traffic plan, cones and bright clothing at both ends.",
		WorkingOnSite, fromMemory + "29 CFR 1926.200 to .202, 1910.268(d)"},
	{"weather-stops-work", "Lightning or high wind: stop, vent, leave the chambers.",
		WorkingOnSite, practice},
	{"heat-and-cold", "Heat: water, shade, rest, new people build up. Cold: dry gloves, warm up.",
		WorkingOnSite, fromMemory + "OSH Act 5(a)(1)"},
	{"fibre-scraps", "Fibre scraps go in a closed, marked container. No food. Wash before touching eyes.",
		WorkingOnSite, "FOA safety rules" + inCopies},
	{"fibre-live", "Treat any fibre as live until a power meter says it is dark.",
		WorkingOnSite, "FOA safety rules" + inCopies},

	{"chamber-entry", "Chamber: guard it, test it, ventilate it; one person stays outside, with the means to lift you out.",
		EnteringChamber, "29 CFR 1910.268(o)" + inCopies + "; " + fromMemory + "1910.146"},
	{"gas-order", "Test oxygen, then flammable, then toxic gas, and keep testing while anyone is inside.",
		EnteringChamber, fromMemory + "29 CFR 1910.146, 1926.1203 to .1204"},
	{"exhaust-downwind", "No compressor or engine exhaust upwind of an open chamber.",
		EnteringChamber, practice},

	{"reel-held", "Chock the reel; rated lifting gear; nobody under it or downhill of it.",
		HandlingReels, fromMemory + "29 CFR 1926.251, 1926.602"},
	{"boots-and-gloves", "Toe-capped boots and gloves when reels or duct are moved.",
		HandlingReels, "FOA safety rules"},
	{"straps-spring", "Coiled duct springs open when its straps are cut: stand aside.",
		HandlingReels, "PPI TN-58" + inCopies},
	{"team-lift", "Lift as a team or by machine above the site's limit.",
		HandlingReels, fromMemory + "NIOSH lifting equation"},
	{"lubricant-spills", "Read the lubricant's safety sheet. Wipe spills: people slip.",
		HandlingReels, fromMemory + "29 CFR 1910.1200"},

	{"local-first", "Local codes, site rules, makers' instructions and licensed people come first.",
		BeforeTrial, practice},
	{"stop-word", "Anyone may call the stop word. Say it aloud now, so that all know it.",
		BeforeTrial, practice},
	{"no-air-on-plug", "Never put air into a plugged duct. Vent and read zero before the plug goes in or out.",
		BeforeTrial, practice + "; flying parts: HSE GS4" + inCopies},
	{"belts-pull", "Belts pull hands in. Guards on; stop and isolate before any hand goes near.",
		BeforeTrial, fromMemory + "29 CFR 1910.212(a), 1910.219, 1910.147"},
	{"hydraulic-jet", "Never feel for a leak under pressure. Fluid through the skin: hospital at once.",
		BeforeTrial, "HSE GS4" + inCopies + "; " + fromMemory + "29 CFR 1926.302(d)"},
	{"eyes", "Safety glasses with side shields for everyone in the work area.",
		BeforeTrial, "FOA safety rules" + inCopies + "; " + fromMemory + "29 CFR 1910.133"},
	{"ears", "Protect your ears near the compressor. Limits a day: 90 dBA 8 h, 95 dBA 4 h, 100 dBA 2 h, 105 dBA 1 h.",
		BeforeTrial, "29 CFR 1910.95 Table G-16"},

	{"stand-clear", "Nobody in line with stub or plug; everyone says clear before each push.",
		BeforeFirstPush, practice + "; danger zone: HSE GS4" + inCopies},
	{"hand-on-stop", "One hand at the stop control, none on the tablet, while the drive pushes.",
		BeforeFirstPush, practice},
	{"gloves-near-belts", "Cut-resistant gloves for duct and reel; close-fitting or none near the belts, as site rules say.",
		BeforeFirstPush, fromMemory + "29 CFR 1910.138; near belts: " + practice},
	{"no-short-piece", "Never drive a short free piece of cable: it is thrown.",
		BeforeFirstPush, practice},
	{"keep-protection", "A rig that stops itself keeps that protection. Write down that it did.",
		BeforeFirstPush, practice},

	{"isolate-after-fold", "Stop, isolate, then look. The cable is bent like a spring and may jump.",
		AfterFold, practice},
	{"never-force-a-fold", "A stuck fold: never air, never a rod, never pull by hand. Isolate and cut the stub.",
		AfterFold, practice},
	{"folded-is-scrap", "The folded length is scrap. Fresh end, fresh cap; mind the shards.",
		AfterFold, practice},

	{"isolate-to-change", "Stop and isolate before the stub comes off.",
		CarryingOver, practice},
	{"plug-in-sight", "A plug left in is a shot waiting. Stub and plug on the ground, in sight, before any air.",
		CarryingOver, practice + "; flying parts: HSE GS4" + inCopies},

	{"test-shut-in", "Pressure test: duct empty, ends capped and tied, all rated above it. Nobody near an end or in line.",
		TestingDuct, practice + "; ejected fittings: HSE GS4" + inCopies},

	{"hoses-tied", "Tie every hose joint. Hose and fittings rated above the supply, never past the maker's pressure.",
		BeforeAir, "29 CFR 1926.302(b)(1)" + inCopies + "; " + fromMemory + "(b)(5)"},
	{"hose-shut-off", "Have a device at the supply that shuts the flow by itself if a large hose lets go.",
		BeforeAir, practice},
	{"air-at-people", "Never aim air at people or clothes. Cleaning air: under 30 psi, guarded, eyes covered.",
		BeforeAir, "29 CFR 1910.242(b)"},
	{"far-end-first", "No air until the far end answers clear. " + RadioLost,
		BeforeAir, practice},
	{"far-end-stand", "Far end: out of line with every open duct, a catch fitted.",
		BeforeAir, practice + "; danger zone: HSE GS4" + inCopies},

	{"never-above-trial", Slowing,
		DuringRun, practice},
	{"warmer-than-trial", Warmer,
		DuringRun, practice},
	{"radio-lost", RadioLost,
		DuringRun, practice},

	{"read-zero", "Shut the air at its source, vent, read zero; only then open anything.",
		BeforeOpening, "HSE GS4" + inCopies + "; " + fromMemory + "29 CFR 1926.306"},
}

// MakeSafe is the card reached by one key from everywhere.
//
// Source: common practice, no source.
func MakeSafe() (heading string, steps []string) {
	return "This screen does not stop the machine", []string{
		"Stop the drive.",
		"Isolate its supply.",
		"Shut the air at its source.",
		"Vent.",
		"Read zero.",
		"Tell the far end.",
	}
}

// PushSteps is how one attempt is made, in order.
//
// Source: common practice, no source.
func PushSteps() []string {
	return []string{
		"Reel braked; run-up + 1 m of slack lies loose before the drive.",
		"Stop pressed, supply isolated, before any hand goes near the belts.",
		"Stop, isolate, then back the cable off by the run-up, the same every time.",
		"Guards on, everyone clear, supply back on, one hand at the stop control.",
		"Belts open: set the push control, mark its valve. From now only on and off.",
		"Close the belts at the grip pressure shown.",
		"Push. At the plug read line, belts and gauge within 2 seconds.",
		"Shut off, let the push fall to zero, then open the belts.",
		"Look at the lines on plug and stub: one off its place makes the push void.",
		"Stop, isolate, then withdraw and look: after fold, slip, doubt, at the end.",
	}
}

// Sign is how one outcome looks, sounds and reads.
type Sign struct {
	Outcome                                    string // its word
	Belts, Line, Sound, Reading, Jacket, Where string
}

// Signs returns the signs of each outcome, in the order of the two questions.
//
// Source: common practice, no source.
func Signs() []Sign {
	return []Sign{
		{
			Outcome: "stall", Belts: "stop or hum", Line: "held, may spring back on release",
			Sound: "motor loads up, tone drops, relief hisses", Reading: "push rises and holds",
			Jacket: "clean, or a faint print", Where: "nowhere",
		},
		{
			Outcome: "slip", Belts: "keep turning", Line: "held, or short jerks",
			Sound: "squeal, chatter, rubbing", Reading: "push rises, then wavers lower; grip pressure may tremble",
			Jacket: "shine, scuffs, belt dust, smell", Where: "at the belts",
		},
		{
			Outcome: "fold", Belts: "keep turning, often faster after it gives", Line: "creeps or jumps past the allowance line",
			Sound: "pop, thump, slap in the stub", Reading: "push rises, then drops; grip pressure may kick",
			Jacket: "wave, white mark, flat, kink, oval; stays bent", Where: "in the gap, or as waves in the stub",
		},
		{
			Outcome: "void", Belts: "stop", Line: "moved, and springs back",
			Sound: "as a stall", Reading: "as a stall",
			Jacket: "clean", Where: "nowhere: bottom the cable again and repeat",
		},
	}
}

// Doubt is a way an outcome can be something else.
type Doubt struct {
	Looks   string // the outcome it looks like
	Because string
	Check   string // how to find out
}

// Doubts returns the known false readings.
//
// Source: common practice, no source.
func Doubts() []Doubt { return slices.Clone(doubts) }

var doubts = []Doubt{
	{"stall", "a burr or ledge at the lead-in piece", "stop, isolate, then feel the edge, slide the cable through by hand"},
	{"stall", "the end cap is wedged", "stop, isolate, then withdraw; look for marks on the cap"},
	{"stall", "the stub is bent", "stop, isolate, then sight along it, tie it straight"},
	{"stall", "the supply is low, or its oil cold", "read the supply while the drive runs"},
	{"stall", "the relief is set low", "the stall reading is the same at two speeds"},
	{"stall", "grip pressure so high that the drive drags itself",
		"stop, isolate, plug out; stub tied, guards on, all clear: it must run freely"},
	{"stall", "an interlock stopped the drive", "look at the rig's own lamps; write: it stopped itself"},
	{"stall", "the reel holds the cable", "is the slack used up?"},
	{"slip", "damp, oil or dust on belts or jacket", "stop, isolate, then wipe both with a white cloth; repeat"},
	{"slip", "belts glazed, or the wrong set", "stop, isolate, then look for shine, read the belt number"},
	{"slip", "a loose lead-in piece lets the cable climb", "stop, isolate, then feel for side play"},
	{"slip", "the grip pressure gauge reads high", "belts open: does it read zero?"},
	{"fold", "the plug crept", "is the line on the plug whole?"},
	{"fold", "the stub crept or bowed", "is the line on the stub whole? sight along it"},
	{"fold", "the length was hurt before", "stop, isolate, then withdraw; is the hurt where an old mark was?"},
	{"fold", "slack was not taken out", "stop, isolate, then bottom it gently, slack out, set the line; repeat"},
	{"fold", "the gap is too long", "stop, isolate, then withdraw; is the bend in the gap? then it is void"},
}
