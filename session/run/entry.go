package run

import (
	"fmt"
	"strings"
	"time"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// The entries of a run besides [session.Answer] and [session.Undo], which it has in common
// with a trial. A quantity that is not known was not read then.
type (
	// Proving is the sheet of the day on the duct.
	Proving struct {
		session.Mark
		Mandrel, MandrelLength q.Maybe[q.Length]
		Passes                 int
		HeldAt, Lost           q.Maybe[q.Pressure]
		HeldFor                q.Maybe[time.Duration]
		FarEndClear            string // who said so before each shot
		Note                   string
	}

	// Dialled is the setting read back from the gauges.
	Dialled struct {
		session.Mark
		Setting                               session.Setting
		CableTemperature, InletAirTemperature q.Maybe[q.Temperature]
		By, Reason                            string // of a setting above what is allowed
	}

	// Start is the cable's head at the duct's mouth, or so far in, and the cable's print mark
	// at the pointer then.
	Start struct {
		session.Mark
		Printed     q.Length
		HeadIn      q.Length
		Counts      Counts
		AirPressure q.Maybe[q.Pressure]
		By          string
	}

	// Point is a line of the log. What is not known has not changed, but for the cable's
	// speed and the push, which are of their moment.
	Point struct {
		session.Mark
		Printed                               q.Maybe[q.Length]
		Speed                                 q.Maybe[q.Speed] // of the cable
		Grip                                  q.Maybe[q.Pressure]
		Control                               q.Maybe[q.Reading] // the push control
		Push                                  q.Maybe[q.Reading] // the push gauge
		AirPressure                           q.Maybe[q.Pressure]
		CableTemperature, InletAirTemperature q.Maybe[q.Temperature]
		Slip                                  bool
		By, Reason                            string // of a setting above what is allowed
		Note                                  string
	}

	// Stop is the cable at rest.
	Stop struct {
		session.Mark
		Printed q.Maybe[q.Length]
		Reason  string
		Stalled bool // the drive gave up and the cable line held
		By      string
	}

	// Restart is the cable moving again.
	Restart struct {
		session.Mark
		Printed q.Maybe[q.Length]
		By      string
	}

	// End is the cable arrived at the far end, or the run given up.
	End struct {
		session.Mark
		Arrived    bool
		Printed    q.Maybe[q.Length]
		By, Reason string // who saw it; why it was given up
	}

	// Closing is what was found at the end.
	Closing struct {
		session.Mark
		Slack       q.Maybe[q.Length]
		Loops       []q.Length
		Remainder   q.Maybe[q.Length] // on the reel
		StubRetired q.Maybe[bool]
		Jacket      string // what was seen of it
		Folds       int
		Damaged     bool
		Note        string
	}
)

// Counts is which way the cable's print marks go as it is paid in.
type Counts int

// The ways; zero is not said, and the first two marks tell.
const (
	CountsUp Counts = iota + 1
	CountsDown
)

var countNames = []string{"", "up", "down"}

func (c Counts) String() string { return countNames[c] }

// MarshalText writes the word of a record, "" for not said.
func (c Counts) MarshalText() ([]byte, error) { return []byte(countNames[c]), nil }

// UnmarshalText reads what MarshalText wrote.
func (c *Counts) UnmarshalText(text []byte) error {
	for i, name := range countNames {
		if string(text) == name {
			*c = Counts(i)
			return nil
		}
	}
	return fmt.Errorf("use \"up\" or \"down\" for the way the marks count")
}

// The reasons of a stop that mean something to what follows. Any other words may be given; older
// records have "short check due".
const (
	StopSlowed      = "slowed down"
	StopStalled     = "stalled"
	StopSlip        = "belts slip"
	StopFold        = "fold"
	StopJacket      = "jacket marked"
	StopAir         = "air fell"
	StopRadio       = "radio lost"
	StopTemperature = "warmer, dropped to lower setting"
	StopPlanned     = "planned"
)

// The reasons of a run given up that tell of a hurt. Any other words may be given.
const (
	EndFold   = "cable folded"
	EndJacket = StopJacket
)

// StopReasons are the reasons offered for a stop.
func StopReasons() []string {
	return []string{StopSlowed, StopStalled, StopSlip, StopFold, StopJacket, StopAir, StopRadio, StopTemperature, StopPlanned}
}

// standing are the entries that were not taken back, without the undos. They are not to be
// written to.
func (r Run) standing() []session.Entry {
	dropped := r.dropped()
	if len(dropped) == 0 {
		return r.Entries
	}
	out := make([]session.Entry, 0, len(r.Entries))
	for _, e := range r.Entries {
		if _, undo := e.(session.Undo); !undo && !dropped[e.Number()] {
			out = append(out, e)
		}
	}
	return out
}

// dropped are the numbers of the entries that were taken back.
func (r Run) dropped() map[int]bool {
	dropped := map[int]bool{}
	for _, e := range r.Entries {
		if u, ok := e.(session.Undo); ok {
			dropped[u.Drops] = true
		}
	}
	return dropped
}

// sameWords compares words that somebody may have typed with those that are offered.
func sameWords(typed, offered string) bool {
	return strings.EqualFold(strings.TrimSpace(typed), offered)
}

// LastNumber returns the number of the last entry, 0 when there is none.
func (r Run) LastNumber() int {
	if len(r.Entries) == 0 {
		return 0
	}
	return r.Entries[len(r.Entries)-1].Number()
}

// last returns the last standing entry of a kind.
func last[E session.Entry](r Run) (found E, ok bool) {
	for _, e := range r.standing() {
		if v, is := e.(E); is {
			found, ok = v, true
		}
	}
	return found, ok
}
