package session

import (
	"fmt"
	"strings"
)

// Policy holds every number of the decision rule that could be tuned. Its name is
// saved with the record, so that an old record keeps the advice it gave.
type Policy struct {
	Name string

	// Model.
	SlipSpread     float64   // tau: repeat spread (sd of ln) of the slip line
	ImpactShare    float64   // kappa: impact over stall thrust at the same speed; an assumption
	Misread        float64   // epsilon: chance that an outcome was misread; never in a stated chance
	Spreads        []float64 // sigma: the repeat spreads (sd of ln) of the fold speed considered
	SpreadMedian   float64   // prior median of sigma
	SpreadSD       float64   // prior sd of ln sigma
	ForcePerShift  float64   // theta: how much of a change of polyethylene stiffness reaches the fold speed
	ShiftSD        float64   // sd of theta
	JacketSD       float64   // sd of ln fold speed for not knowing the jacket's temperature
	SlipShiftSD    float64   // sd of ln of the slip ratio added by a change of temperature
	ReelSD         float64   // sd of ln fold speed added by a change of reel
	FoldSpacing    float64   // widest spacing of the grid in ln fold speed
	FoldRangeBelow float64   // the grid starts at this × the lowest speed
	FoldRangeAbove float64   // and ends at this × the highest

	// With a data sheet and a rig card.
	MachineDoubt  float64 // weight given to either being wrong altogether
	ThrustPriorSD float64 // sd of ln of the rig card's thrust
	SlipPriorSD   float64 // sd of ln of the slip ratio: friction and thrust
	UsualSlipSD   float64 // the same with no rig card, about the ratio of the rig's limits; 0: nothing is believed
	StartChance   float64 // largest fold chance of the first push
	StartRungs    int     // rungs the first push may be above the ladder's start
	EarlyChance   float64 // fold chance of the smallest rung that ends the climb before a fold

	// Climb.
	Rungs         []float64 // steps up, largest first
	ClimbChance   float64   // largest fold chance a larger step may have
	SlipPushing   float64   // slip chance at which a push takes another rung of grip pressure
	Ungrippable   float64   // slip chance at the highest grip pressure that ends the climb
	FirstFoldDrop float64   // a fold with no stall below it: start again at this × its speed

	// Proof.
	Gap            float64 // highest speed allowed, × the lowest fold
	ConfirmChance  float64 // largest fold chance of a repeat
	InstallChance  float64 // largest fold chance of the install setting
	SlipInstalling float64 // largest slip chance of the install setting
	Yield          float64 // share of the candidate's speed given up to need no more repeats
	HeldGrip       bool    // repeats are pushed at the grip pressure to install with, and a rung more that has held will do
	HeldTogether   bool    // the grip pressure to install with, or a lower one, must have held at the setting's speed or above
	Repeats        int     // stalls that must stand at or above the install setting
	RepeatsVaried  int     // the same, when a fold came at or below a stalled speed
	MaxFolds       int     // folds that end a trial
	MaxProof       int     // pushes after the climb that end a trial
	MaxPushes      int     // pushes that end a trial
	EnoughAbove    float64 // an enough trial climbs to this × the speed of its plan
	CheckAbove     float64 // a short check pushes at this × the known speed

	// Reading the drive.
	ReliefSame  float64 // stall readings within this share of each other are the same,
	ReliefShare float64 // if they also rose by less than this share of the step in speed
	ReliefFall  float64 // one that falls by more than this is no push control at all
	ReliefStep  float64 // for speeds at least this ratio apart
}

// DefaultPolicy is the rule for new trials.
//
// The chances, steps and counts come from simulated trials; the rest is said
// beside the field. Source: derived here, apart from the published ideas named at
// [Decide].
func DefaultPolicy() Policy {
	return Policy{
		Name: "grid-2t",

		SlipSpread:     0.10,
		ImpactShare:    0.25,
		Misread:        0.02,
		Spreads:        []float64{0.03, 0.05, 0.08, 0.12, 0.18, 0.27},
		SpreadMedian:   0.145,
		SpreadSD:       0.5,
		ForcePerShift:  0.65,
		ShiftSD:        0.20,
		JacketSD:       0.65 * 0.0116 * 5, // the jacket known to 5 °F, at 1.16 % of stiffness per °F
		SlipShiftSD:    0.10,
		ReelSD:         0.10,
		FoldSpacing:    0.05,
		FoldRangeBelow: 0.5,
		FoldRangeAbove: 2.5,

		MachineDoubt:  0.20,
		ThrustPriorSD: 0.10,
		SlipPriorSD:   0.27,
		UsualSlipSD:   0.80,
		StartChance:   0.02,
		StartRungs:    5,
		EarlyChance:   0.19,

		Rungs:         []float64{1.40, 1.20, 1.10},
		ClimbChance:   0.20,
		SlipPushing:   0.05,
		Ungrippable:   0.50,
		FirstFoldDrop: 0.5,

		Gap:            0.90,
		ConfirmChance:  0.06,
		InstallChance:  0.03,
		SlipInstalling: 0.03,
		Yield:          0.05,
		HeldGrip:       true,
		HeldTogether:   true,
		Repeats:        3,
		RepeatsVaried:  5,
		MaxFolds:       3,
		MaxProof:       14,
		MaxPushes:      60,
		EnoughAbove:    1.25,
		CheckAbove:     1.10,

		ReliefSame:  0.02,
		ReliefShare: 0.25,
		ReliefFall:  0.05,
		ReliefStep:  1.04,
	}
}

// secondPolicy is the rule before that asked for grip pressure and speed to have held together:
// a stall at the grip pressure to install with counted at any speed.
func secondPolicy() Policy {
	p := DefaultPolicy()
	p.Name, p.HeldTogether = "grid-2", false
	return p
}

// firstPolicy is the rule of the first trials: it climbs more carefully, knows less of
// belts, and asks for more pushes.
func firstPolicy() Policy {
	p := secondPolicy()
	p.Name = "grid-1"
	p.SpreadMedian = 0.12
	p.MachineDoubt, p.StartRungs, p.EarlyChance, p.UsualSlipSD = 0.40, 3, 0.25, 0
	p.HeldGrip = false
	p.ClimbChance, p.SlipPushing, p.SlipInstalling, p.Yield = 0.15, 0.10, 0.05, 0
	return p
}

// PolicyNamed returns the policy a record was made with. The empty name is the
// default policy.
func PolicyNamed(name string) (Policy, error) {
	known := []Policy{DefaultPolicy(), secondPolicy(), firstPolicy()}
	var names []string
	for _, p := range known {
		if name == "" || name == p.Name {
			return p, nil
		}
		names = append(names, p.Name)
	}
	return Policy{}, fmt.Errorf("policy %q is not known to this version; it knows %s", clip(name), strings.Join(names, ", "))
}
