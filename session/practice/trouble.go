package practice

import (
	"fmt"
	"slices"
	"strings"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// Trouble is something wrong with a rig. It stays until the trainee finds it: by
// answering its check as it is, or by calling a push void that it spoilt.
type Trouble struct {
	Kind TroubleKind
	From int     // the push it begins with, 1 for from the start
	Size float64 // in the unit of its kind
}

// TroubleKind is what can be wrong.
type TroubleKind int

// The troubles. The unit of Trouble.Size stands behind each.
const (
	SupplyCold   TroubleKind = iota + 1 // part of the thrust that is left
	SupplyLow                           // the same
	Ledge                               // m the head stops short of the plug
	ReelHolds                           // the same: the slack is used up
	PlugCreeps                          // N it holds
	StubCreeps                          // N its clamp holds
	BeltsWet                            // part of the hold that is left
	BeltsWorn                           // the same
	GaugeHigh                           // Pa that the grip pressure gauge reads too much
	CableHurt                           // part of the fold limit that is left
	GapTooLong                          // N at which the cable folds in the gap
	AirCouldCome                        // no size: the air hose is on
	NoFence                             // no size: somebody is in line with the plug
)

// row is what is known of a kind of trouble.
type row struct {
	name      string
	unit      string // of its size: part, m, N, Pa; "" where it has none
	check     string // the check that finds it
	state     string // what an honest answer to it is
	seen      string // what one sees who looks
	low, high float64
	spoils    bool   // a push that it decides proves nothing
	reason    string // to write down for such a push
}

var rows = map[TroubleKind]row{
	SupplyCold:   {"supply cold", "part", "supply-warm", "cold", "The oil gauge stands in the cold part of its scale.", 0.2, 0.95, true, session.VoidSupplyLow},
	SupplyLow:    {"supply low", "part", "supply-warm", "low", "The supply gauge sags while the drive runs.", 0.2, 0.95, true, session.VoidSupplyLow},
	Ledge:        {"ledge", "m", "lead-in-fitted", "not home", "The lead-in piece stands off its seat; a finger feels an edge.", 0.2, 2, true, "the head caught on a ledge"},
	ReelHolds:    {"reel holds", "m", "reel-slack", "slack too short", "The loop before the drive is almost straight.", 0.2, 2, true, "the reel held the cable"},
	PlugCreeps:   {"plug creeps", "N", "plug-held", "gives under a rod", "A rod shifts the plug.", 10, 5000, true, session.VoidPlugMoved},
	StubCreeps:   {"stub creeps", "N", "stub-clamped", "creeps", "A pull by hand shifts the stub in its clamp.", 10, 5000, true, session.VoidPlugMoved},
	BeltsWet:     {"belts wet", "part", "belts-clean", "damp or dusty", "The cloth comes off the belts damp.", 0.1, 0.95, true, "belts or jacket damp"},
	BeltsWorn:    {"belts worn", "part", "belts-clean", "glazed or cut", "The belts shine.", 0.1, 0.95, true, "belts glazed"},
	GaugeHigh:    {"gauge high", "Pa", "grip-pressure-gauge", "not at zero", "Belts open, the grip pressure gauge does not go back to zero.", 1, 1e6, false, ""},
	CableHurt:    {"cable hurt", "part", "cable-sound", "kinked or marked", "A hand run along the length feels a soft spot.", 0.1, 0.95, true, "the length was hurt before"},
	GapTooLong:   {"gap too long", "N", "lead-in-fitted", "too wide or tight", "The cable has side play where it leaves the belts.", 10, 5000, true, session.VoidGapFold},
	AirCouldCome: {"air could come", "", "chamber-vented", "air could get in", "The air hose is on, and its valve has no tag.", 0, 0, false, ""},
	NoFence:      {"no fence", "", "line-of-fire", "no fence", "There is no fence at the plug end.", 0, 0, false, ""},
}

// TroubleNames are the troubles a lesson may have, as it writes them.
func TroubleNames() []string {
	var names []string
	for k := SupplyCold; k <= NoFence; k++ {
		names = append(names, rows[k].name)
	}
	return names
}

func (k TroubleKind) String() string { return rows[k].name }

// SizeUnit returns the unit of its size: "part" of one, "m", "N", "Pa" or none.
func (k TroubleKind) SizeUnit() string { return rows[k].unit }

// Check returns the id of the check that finds it.
func (k TroubleKind) Check() string { return rows[k].check }

// MarshalText writes the name.
func (k TroubleKind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads a name.
func (k *TroubleKind) UnmarshalText(text []byte) error {
	i := slices.Index(TroubleNames(), string(text))
	if i < 0 {
		return fmt.Errorf("%.60q is no trouble that a practice rig can have", text)
	}
	*k = TroubleKind(i + 1)
	return nil
}

func (t Trouble) check(p *problems, key string) {
	r, known := rows[t.Kind]
	if !known {
		p.add(key+".kind", "write one of "+strings.Join(TroubleNames(), ", "), "missing")
		return
	}
	p.number(key+".from", float64(t.From), 1, 100)
	switch r.unit {
	case "m":
		within(p, key+".size", q.Length(t.Size), span[q.Length]{r.unit, q.Length(r.low), q.Length(r.high)})
	case "N":
		within(p, key+".size", q.Force(t.Size), span[q.Force]{r.unit, q.Force(r.low), q.Force(r.high)})
	case "Pa":
		within(p, key+".size", q.Pressure(t.Size), span[q.Pressure]{r.unit, q.Pressure(r.low), q.Pressure(r.high)})
	default:
		p.number(key+".size", t.Size, r.low, r.high)
	}
}
