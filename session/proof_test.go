package session

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	q "brinkmark/session/quantity"
)

func squeeze(v float64) q.Pressure     { return q.From[q.Pressure](v, "psi") }
func degreesF(v float64) q.Temperature { return q.From[q.Temperature](v, "°F") }
func feet(v float64) q.Reading {
	return q.Reading{Value: float64(q.From[q.Speed](v, "ft/min")), Unit: "m/s"}
}

// provedTrial is a trial at 41 °F whose pushes carry 6 psi, 95 ft/min.
func provedTrial() Trial {
	t := Trial{
		Kind: Full, Policy: DefaultPolicy(), Cable: Cable{Make: "Northmoor", Type: "LT-96"}, Duct: Duct{Size: "1.25 in SDR 11"},
		Conditions: Conditions{CableTemperature: q.Known(degreesF(41)), Unit: "°F"},
		Rig: Rig{GripUnit: "psi", PushUnit: "ft/min", GripLimit: q.Known(squeeze(60)), SpeedLimit: q.Known(feet(220)),
			GripDivision: q.Known(squeeze(1)), SpeedDivision: q.Known(feet(5))},
	}
	for _, p := range []struct {
		grip, speed float64
		outcome     Outcome
	}{{4, 40, Stall}, {6, 55, Stall}, {6, 75, Stall}, {6, 105, Stall}, {6, 125, Stall}, {6, 150, Fold}, {6, 105, Stall}, {6, 105, Stall}} {
		t = pushed(t, p.grip, p.speed, p.outcome, 41)
	}
	return t
}

func pushed(t Trial, grip, speed float64, o Outcome, degrees float64) Trial {
	t.Entries = append(t.Entries[:len(t.Entries):len(t.Entries)], Attempt{
		Mark: Mark{Seq: len(t.Entries) + 1}, Setting: Setting{squeeze(grip), feet(speed)}, Outcome: o, CableTemperature: q.Known(degreesF(degrees))})
	return t
}

func claimOf(t Trial, grip, speed float64) Claim {
	s := Setting{squeeze(grip), feet(speed)}
	from := t.Proof(s).From.Or(0)
	return Claim{Trial: t, Setting: s, From: from, Coldest: from, Hottest: from, Covered: CoveredBand(), Checked: CheckedBand()}
}

// What keeps a setting from being handed out, one thing at a time.
func TestProof(t *testing.T) {
	good := provedTrial()
	for _, c := range []struct {
		name        string
		trial       Trial
		grip, speed float64
		says        string
	}{
		{"carried", good, 6, 95, ""},
		{"lower is carried too", good, 6, 60, ""},
		{"more than 0.90 of the fold", pushed(pushed(pushed(good, 6, 140, Stall, 41), 6, 140, Stall, 41), 6, 140, Stall, 41), 6, 136, "is not a tenth below 150 ft/min, which folded"},
		{"too few stalls", good, 6, 110, "1 of 3 stalls stand at 110 ft/min or harder"},
		{"five, once it folded where it had stalled", pushed(good, 6, 105, Fold, 41), 6, 94, "4 of 5 stalls stand"},
		{"never at its grip pressure", good, 5, 95, "it never stalled at 95 ft/min or harder with 5 psi or less"},
		{"marked at its grip pressure", mark(good, 3), 6, 95, "the jacket was marked at 6 psi"},
		{"marked at more", mark(pushed(good, 8, 60, Stall, 41), 8), 6, 95, ""},
		{"above the rig", limited(good, func(r *Rig) { r.SpeedLimit = q.Known(feet(90)) }), 6, 95, "is above the limit of rig or crew, 90 ft/min"},
		{"above the crew's grip pressure", limitedTo(good, Limits{Grip: q.Known(squeeze(5))}), 6, 95, "is above the limit of rig, cable or crew, 5 psi"},
		{"above its plan", planned(good, Enough, 6, 90), 6, 95, "is above what this trial set out to prove, 90 ft/min"},
	} {
		t.Run(c.name, func(t *testing.T) {
			flaws := c.trial.Proof(Setting{squeeze(c.grip), feet(c.speed)}).Flaws
			if c.says == "" {
				require.Empty(t, flaws)
				return
			}
			require.NotEmpty(t, flaws)
			require.Contains(t, flaws[0], c.says)
			_, why := claimOf(c.trial, c.grip, c.speed).Promise()
			require.Contains(t, why, flaws[0], "and so nothing is promised")
		})
	}
	require.Contains(t, good.Advises(Setting{squeeze(6), feet(125)}), "its pushes lead to 6 psi, 95 ft/min")
	require.Empty(t, good.Advises(Setting{squeeze(6), feet(95)}))
}

func mark(t Trial, push int) Trial {
	t.Entries = append([]Entry{}, t.Entries...)
	a := t.Entries[push].(Attempt)
	a.JacketDamage = true
	t.Entries[push] = a
	return t
}

func limited(t Trial, do func(*Rig)) Trial { do(&t.Rig); return t }

func limitedTo(t Trial, l Limits) Trial { t.Limits = l; return t }

func planned(t Trial, k Kind, grip, speed float64) Trial {
	t.Kind, t.Plan = k, Plan{q.Known(squeeze(grip)), q.Known(feet(speed))}
	return t
}

// The band starts where the stalls were made, not where the trial ended, nor where a cable was
// once said to be.
func TestProvedAt(t *testing.T) {
	t1 := provedTrial()
	t1.Conditions.CableTemperature = q.Known(degreesF(52))
	p := t1.Proof(Setting{squeeze(6), feet(80)})
	require.Empty(t, p.Flaws)
	require.InDelta(t, float64(degreesF(41)), float64(p.From.Or(0)), 1e-9, "it warmed after the pushes")

	warm := provedTrial()
	for i := range warm.Entries {
		a := warm.Entries[i].(Attempt)
		a.CableTemperature = q.Known(degreesF(85))
		warm.Entries[i] = a
	}
	p = warm.Proof(Setting{squeeze(6), feet(95)})
	require.InDelta(t, float64(degreesF(41)), float64(p.From.Or(0)), 1e-9, "85 °F was a slip of the pen, put right later")
}

// What folded elsewhere, by where and how warm it was. Polyethylene's stiffness by the multiplier
// table of the Plastics Pipe Institute's handbook, ch. 3 (from memory): 1.473 at 41 °F, 1.25 at
// 55 °F, 1.049 at 70 °F, linear between the table's points; 0.65 of it in ln reaches the fold.
func TestFoldsElsewhere(t *testing.T) {
	good := provedTrial()
	fold := func(speed, degrees float64) Hurt {
		return Hurt{Fold: true, InRun: true, Setting: q.Known(Setting{squeeze(6), feet(speed)}), Cable: q.Known(degreesF(degrees)), Of: "run X"}
	}
	for _, c := range []struct {
		name   string
		hurt   Hurt
		stands bool
	}{
		{"just far enough above", fold(106, 41), true},
		{"not a tenth above", fold(105, 41), false},
		{"in the band, though warmer", fold(100, 47), false},
		{"warmer than it is promised for, within what a short check reaches", fold(60, 48), false},
		{"so warm that it is another cable", fold(60, 62), true},
		{"colder: 110 there is 110 × (1.473/1.583)^0.65 here", fold(110, 34), false},
		{"colder, and far above", fold(130, 34), true},
		{"how warm is not known", Hurt{Fold: true, Setting: q.Known(Setting{squeeze(6), feet(100)}), Of: "run X"}, false},
		{"another control", Hurt{Fold: true, Setting: q.Known(Setting{squeeze(6), q.Reading{Value: 1, Unit: "notches"}}), Cable: q.Known(degreesF(41)), Of: "run X"}, true},
		{"jacket marked at its grip pressure", Hurt{Setting: q.Known(Setting{squeeze(6), feet(50)}), Cable: q.Known(degreesF(41)), Of: "run X"}, false},
		{"jacket marked at more", Hurt{Setting: q.Known(Setting{squeeze(7), feet(50)}), Cable: q.Known(degreesF(41)), Of: "run X"}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			claim := claimOf(good, 6, 95)
			claim.Hurts = []Hurt{c.hurt}
			p, why := claim.Promise()
			require.Equal(t, c.stands, len(why) == 0, "%v", why)
			if !c.stands {
				require.Contains(t, why[0], "run X")
				require.Zero(t, p)
			}
			lower, some := claim.Lowered()
			if claim.Setting = lower; some {
				_, why = claim.Promise()
				require.Empty(t, why, "what is offered instead is carried: %v", good.Rig.Show(lower))
			}
		})
	}
}

// More folds, tighter bands and lower tops never give more of anything.
func TestPromiseNeverGrows(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	good := provedTrial()
	for range 400 {
		claim := claimOf(good, 6, 60+5*float64(rng.IntN(8)))
		before, _ := claim.Promise()
		tight := claim
		tight.Covered.Degrees *= q.Temperature(rng.Float64())
		tight.Checked.LogRatio *= rng.Float64()
		if rng.IntN(2) == 0 {
			tight.Highest = q.Known(degreesF(41 + 6*rng.Float64()))
		}
		for range rng.IntN(3) {
			tight.Hurts = append(tight.Hurts, Hurt{Fold: rng.IntN(3) > 0, Setting: q.Known(Setting{squeeze(4 + 6*rng.Float64()), feet(60 + 120*rng.Float64())}), Cable: q.Known(degreesF(25 + 50*rng.Float64()))})
		}
		after, _ := tight.Promise()
		for f := 35.0; f <= 65; f += 0.5 {
			is, some := after.At(degreesF(f))
			was, had := before.At(degreesF(f))
			if some {
				require.True(t, had, "%g °F", f)
				require.LessOrEqual(t, is.Speed.Value, was.Speed.Value*(1+1e-9))
				require.LessOrEqual(t, is.Grip, was.Grip)
			}
		}
	}
}

// Whatever the rule ends in, its own pushes carry it: cables with a scatter of their own, belts
// that slip anywhere, and half of them warming on the way.
func TestRuleIsCarriedByItsPushes(t *testing.T) {
	if testing.Short() {
		t.Skip()
	}
	rng := rand.New(rand.NewPCG(3, 5))
	ended := 0
	for n := range 60 {
		fold, slip, scatter := 60+120*rng.Float64(), 3+30*rng.Float64(), 0.05+0.1*rng.Float64()
		tr := provedTrial()
		tr.Entries = nil
		for range 60 {
			next := Decide(tr)
			if install, ok := next.(Install); ok {
				ended++
				require.Empty(t, tr.Proof(install.Setting).Flaws, "trial %d", n)
				break
			}
			s, ok := SettingOf(next)
			if !ok {
				break
			}
			speed, grip, o := s.Speed.Value/feet(1).Value, float64(s.Grip)/float64(squeeze(1)), Stall
			switch {
			case speed > slip*grip*math.Exp(0.08*rng.NormFloat64()):
				o = Slip
			case speed > fold*math.Exp(scatter*rng.NormFloat64()):
				o = Fold
			}
			now := tr.Conditions.CableTemperature.Or(0)
			if n%2 == 0 && rng.IntN(4) == 0 {
				now += 0.5
			}
			tr.Conditions.CableTemperature = q.Known(now)
			tr = pushed(tr, grip, speed, o, q.In(now, "°F"))
		}
	}
	require.Greater(t, ended, 30)
}

// No row of lower settings has the band's own top, as both are read: in whole degrees.
func TestDropToBeginsAboveTheBand(t *testing.T) {
	rows := 0
	for from := 0.0; from < 30; from += 0.1 {
		for _, unit := range []string{"°C", "°F"} {
			c := claimOf(provedTrial(), 6, 95)
			c.From = q.From[q.Temperature](from, "°C")
			c.Coldest, c.Hottest, c.Trial.Conditions.Unit = c.From, c.From, unit
			p, _ := c.Promise()
			if len(p.DropTo) > 0 {
				rows++
				require.NotEqual(t, WholeDegrees(p.UpTo, unit), WholeDegrees(p.DropTo[0].UpTo, unit), "%.1f %s", from, unit)
			}
		}
	}
	require.Greater(t, rows, 100)
}
