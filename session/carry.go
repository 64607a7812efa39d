package session

// What to do, in the same words wherever it is said. The run's alerts tell the same, with the
// figures.
const (
	RadioLost = "Radio lost: stop the drive, shut the air at its source, vent."
	Slowing   = "Never above the setting to get it home. It slows: read again, be ready to stop. Nearly stopped: stop."
	Warmer    = "Cable or air warmer than the setting covers: it may fold. Drop to the lower setting; none left: stop."
)

// What carrying over does to stub and cable end: see [Answer.opens].
const (
	itemStubOut, stubOut = "stub-and-plug-out", "on the ground, in sight"
	itemFreshEnd         = "fresh-end-headed"
)

// carryChecks lead from the trial to the run, in order. Stub and plug on the
// ground is the last killer before anyone works on the air side; the far end's
// word is the gate of the air itself. Whether a dialled value is the install
// setting is for the caller to judge: one that is not is no right reply, and goes
// into the log without its value.
//
// Source: common practice, no source.
var carryChecks = []Check{
	{
		ID: "trial-isolated", Block: StubOff, Ask: "Drive and air?",
		States:      []string{"stopped, isolated", "supply still on", "air not shut off"},
		RightStates: 1,
		Why:         "Hands go to the belts and to the duct mouth now.",
		How:         "Stop pressed, both supplies isolated, start tried: nothing moves.",
		Wrong:       "The drive starts with a hand in it.",
		Teach:       "The change-over is when people hurry. Isolate first, then take the stub off.",
		Killer:      true,
	},
	{
		ID: itemStubOut, Block: StubOff, Ask: "Stub and plug?",
		States:      []string{stubOut, "still fitted", "not in sight"},
		RightStates: 1,
		Why:         "Air on a plugged duct is the worst thing that can happen here.",
		How:         "Point at both. Lying there, not put away, not remembered.",
		Wrong:       "Plug or duct end leaves like a shot.",
		Teach:       "They stay on the ground, in sight, until the cable is home.",
		Alone:       true,
		Killer:      true,
	},
	{
		ID: "used-length-cut", Block: StubOff, Ask: "All cable that was pushed?",
		States:      []string{"cut off, scrapped", "still on the cable"},
		RightStates: 1,
		Hands:       true,
		Why:         "What was pushed on a plug may be hurt inside.",
		How:         "Stop, isolate, then cut behind the farthest mark of belts or stub.",
		Wrong:       "Hidden damage goes into the ground.",
		Teach:       "It looks good and is cheap. Cut it, and write down the length.",
	},
	{
		ID: "seals-fitted", Block: StubOff, Ask: "Seals round cable and duct?",
		States:      []string{"right size, whole, shut", "wrong size", "worn or nicked"},
		RightStates: 1,
		Hands:       true,
		Why:         "They hold the air in and let the cable through.",
		How:         "Stop, isolate, then fit: picked by measured diameters; cable still slides.",
		Wrong:       "Air is lost, or the seal brakes the cable.",
		Teach:       "Air lost at the mouth is air the far end never sees.",
	},
	{
		ID: itemFreshEnd, Block: StubOff, Ask: "Fresh cable end?",
		States:      []string{"cap or head as in trial", "another head", "bare"},
		RightStates: 1,
		Hands:       true,
		Why:         "The trial holds for the end it was made with.",
		How:         "Stop, isolate, then cut square; the same cap or head, tight and smooth.",
		Wrong:       "Water and grit get in; the end catches in a joint.",
		Teach:       "Another head means another trial.",
	},
	{
		ID: "lead-in-back", Block: StubOff, Ask: "Lead-in piece and gap?",
		States:      []string{"same piece, same gap", "another piece", "gap changed"},
		RightStates: 1,
		Hands:       true,
		Why:         "The cable folds first where it is least held.",
		How:         "Stop, isolate, then feel: fully home, no ledge; gap measured as in trial.",
		Wrong:       "It folds at the drive, below the install setting.",
		Teach:       "Twice the gap stands a quarter of the push.",
	},
	{
		ID: "dialled-grip-pressure", Block: AirNext, Ask: "Grip pressure, as dialled?",
		Asks:       AskPressure,
		Why:        "Settings get nudged when the stub is changed.",
		How:        "Read it off the gauge aloud, with its unit.",
		Wrong:      "The run uses a setting nobody tried.",
		Teach:      "Read the gauge first and look at the screen after.",
		Perishable: true,
	},
	{
		ID: "dialled-push-control", Block: AirNext, Ask: "Push control, as dialled?",
		Asks:       AskReading,
		Why:        "A little more here is a fold in the run.",
		How:        "Belts open, read it aloud, with its unit.",
		Wrong:      "The run pushes harder than the trial did.",
		Teach:      "Lower is allowed. Higher is a new trial.",
		Perishable: true,
	},
	{
		ID: "rig-tagged", Block: AirNext, Ask: "Tag on the rig?",
		States:      []string{"setting, record, expiry", "old tag", "none"},
		RightStates: 1,
		Why:         "The next one at the controls was not here.",
		How:         "Setting, record number and the temperature it holds up to.",
		Wrong:       "The next shift turns it up.",
		Teach:       "Take the old tag off: two tags are worse than none.",
	},
	{
		ID: "far-end-clear", Block: AirNext, Ask: "Far end, by radio, now?",
		States:      []string{"says clear", "no answer", "someone is near"},
		RightStates: 1,
		Why:         "Whatever is in the duct comes out there.",
		How:         "They say clear, out of line with the duct, catch fitted.",
		Wrong:       "Somebody is struck by what comes out.",
		Teach:       "No answer is a no. " + RadioLost,
		Alone:       true,
		Killer:      true,
	},
}
