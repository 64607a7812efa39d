package push

import (
	"cmp"
	"math"

	"brinkmark/session/cable"
	q "brinkmark/session/quantity"
)

// Job is what mechanics can use of a job. Only the diameters must be known.
type Job struct {
	OuterDiameter q.Length // of the cable
	InnerDiameter q.Length // of the duct

	Mass                 q.Maybe[q.LinearDensity]
	Stiffness            q.Maybe[q.Stiffness]
	StiffnessTemperature q.Maybe[q.Temperature] // at which Stiffness was measured
	CableTemperature     q.Maybe[q.Temperature]
	PolyethyleneShare    q.Maybe[float64]  // of Stiffness
	MinBendRadius        q.Maybe[q.Length] // under load
	KinkRadius           q.Maybe[q.Length]
	CrushLimit           q.Maybe[q.LineLoad]
	BeltLength           q.Maybe[q.Length]
	ClampPerGrip         q.Maybe[q.ForcePerPressure]
	Gap                  q.Maybe[q.Length] // between drive and duct
	StubLength           q.Maybe[q.Length]
}

// Expected is what mechanics expects of a job. What cannot be known stays unknown.
type Expected struct {
	FillByDiameter float64  // OD/ID
	FillByArea     float64  // OD²/ID²
	Clearance      q.Length // radial

	BendingStiffness q.Maybe[q.Stiffness] // at the cable's temperature, as far as that can be told
	SnakingLoad      q.Maybe[q.Force]     // of a long duct, k = SnakingOnset
	HelixLoad        q.Maybe[q.Force]     // of a long duct, k = HelixComplete
	BendLimitLoad    q.Maybe[q.Force]     // at the least bend radius under load
	FoldLimit        q.Maybe[FoldRange]
	CanDoubleBack    bool
	GripCeiling      q.Maybe[q.Pressure] // at the crush limit

	Warnings []string // for the crew
}

// FoldRange is the push at which the cable is expected to fold or kink, with the
// spread between real cables and the mechanics.
type FoldRange struct {
	Low, Mid q.Force
	High     q.Maybe[q.Force] // unknown when the kink radius is a guess
}

// foldSpread is the standard deviation of ln(fold limit) of real cables about the
// mechanics, and oneSided the normal quantile of 95 %.
//
// Source: an assumption, not checked against data; the quantile by computation.
const (
	foldSpread = 0.40
	oneSided   = 1.6448536269514722
)

// Expect returns the figures of a job.
//
//	fold limit: mid = F(R_k),  high = mid·e^(1.645·0.40), at most the collapse load
//	            low = mid·e^(−1.645·0.40)
//
// F is [Column.LoadAtRadius] and R_k the kink radius in m. low and high are where 5 % and
// 95 % of cables would have folded, by an assumed spread. Without a kink radius mid
// takes 5·OD, high is unknown, and low starts from 10·OD instead, the radius at which a
// cable may stay for good and so does not kink. The other figures are those of the
// functions of this package and of cable.
//
// The stiffness is carried to the cable's temperature when both temperatures and the
// polyethylene share are known and the table has the temperatures; else it is taken
// as it stands, with a warning.
//
// Expect returns an error when a figure that it uses is out of range.
//
// Source: the functions named; the range is derived here.
func Expect(job Job) (Expected, error) {
	if err := checkDiameters(job.OuterDiameter, job.InnerDiameter); err != nil {
		return Expected{}, err
	}
	fill := float64(job.OuterDiameter / job.InnerDiameter)
	e := Expected{
		FillByDiameter: fill,
		FillByArea:     fill * fill,
		Clearance:      Clearance(job.OuterDiameter, job.InnerDiameter),
		CanDoubleBack:  CanDoubleBack(job.OuterDiameter, job.InnerDiameter),
	}
	for _, figure := range []func(*Expected, Job) error{
		(*Expected).stiffness, (*Expected).longDuctLoads, (*Expected).bendLimit,
		(*Expected).foldLimit, (*Expected).doublingBack, (*Expected).gap, (*Expected).grip,
	} {
		if err := figure(&e, job); err != nil {
			return Expected{}, err
		}
	}
	return e, nil
}

func (e *Expected) warn(text string) { e.Warnings = append(e.Warnings, text) }

func (e *Expected) stiffness(job Job) error {
	ei, known := job.Stiffness.Get()
	if !known {
		e.warn("bending stiffness not known, so no push is worked out: measure a droop")
		return nil
	}
	carried, warning, err := job.carried(ei)
	if err != nil {
		return err
	}
	if warning != "" {
		e.warn(warning)
	}
	e.BendingStiffness = q.Known(carried)
	return nil
}

// carried is the stiffness at the cable's temperature, or as it stands and why.
func (job Job) carried(ei q.Stiffness) (q.Stiffness, string, error) {
	at, known1 := job.StiffnessTemperature.Get()
	to, known2 := job.CableTemperature.Get()
	share, known3 := job.PolyethyleneShare.Get()
	if _, err := cable.StiffnessAt(ei, share, at, at); err != nil { // checks both figures
		return 0, "", err
	}
	_, err1 := cable.Multiplier(at)
	_, err2 := cable.Multiplier(to)
	switch {
	case !known1:
		return ei, "bending stiffness is not corrected for temperature: the temperature it was measured at is not known", nil
	case !known2:
		return ei, "bending stiffness is not corrected for temperature: the cable's temperature is not known", nil
	case !known3 && at != to:
		return ei, "bending stiffness is not corrected for temperature: the polyethylene share is not known; a warmer cable folds sooner than these figures say", nil
	case at != to && cmp.Or(err1, err2) != nil:
		return ei, "bending stiffness is not corrected for temperature: polyethylene is tabled from -20 °F to 140 °F only (-29 °C to 60 °C)", nil
	}
	carried, err := cable.StiffnessAt(ei, share, at, to)
	return carried, "", err
}

// column is the cable in the duct once the stiffness is known.
func (e *Expected) column(job Job) (Column, bool) {
	ei, known := e.BendingStiffness.Get()
	if !known {
		return Column{}, false
	}
	c, err := NewColumn(job.OuterDiameter, job.InnerDiameter, ei)
	return c, err == nil // all three were checked
}

func (e *Expected) longDuctLoads(job Job) error {
	mass, known := job.Mass.Get()
	if !known {
		e.warn("mass not known, so neither are the snaking and helix loads")
		return nil
	}
	weight, err := cable.Weight(mass)
	if err != nil {
		return err
	}
	c, ok := e.column(job)
	if !ok {
		return nil
	}
	snaking, err1 := c.LongDuctLoad(SnakingOnset, weight)
	helix, err2 := c.LongDuctLoad(HelixComplete, weight)
	if err := cmp.Or(err1, err2); err != nil {
		return err
	}
	e.SnakingLoad, e.HelixLoad = q.Known(snaking), q.Known(helix)
	return e.shortStub(job, c, weight)
}

func (e *Expected) shortStub(job Job, c Column, weight q.LineLoad) error {
	length, known := job.StubLength.Get()
	if !known {
		return nil
	}
	stub, err := c.StubSnaking(length, weight)
	if err == nil && stub.Short {
		e.warn("the stub is short for this cable: its ends hold the cable, so it snakes and coils at a higher push there than in a long duct")
	}
	return err
}

func (e *Expected) bendLimit(job Job) error {
	radius, known := job.MinBendRadius.Get()
	if !known {
		e.warn("least bend radius under load not known, so neither is the bend limit: see the data sheet; 20 outer diameters is usual outdoors")
		return nil
	}
	if err := job.bends("least bend radius").Check(radius); err != nil {
		return err
	}
	c, ok := e.column(job)
	if !ok {
		return nil
	}
	load, err := c.LoadAtRadius(radius)
	e.BendLimitLoad = q.Known(load)
	return err
}

func (e *Expected) foldLimit(job Job) error {
	radius, measured := job.KinkRadius.Get()
	if !measured {
		radius = cable.UsualKink * job.OuterDiameter
	}
	if err := job.bends("kink radius").Check(radius); err != nil {
		return err
	}
	if least, known := job.MinBendRadius.Get(); measured && known && radius > least {
		e.warn("the kink radius is larger than the least bend radius under load: check both")
	}
	c, ok := e.column(job)
	if !ok {
		return nil
	}
	_, harmless, err1 := cable.OutsidePlant.Radii(job.OuterDiameter)
	limit, err2 := c.foldRange(radius, harmless, measured)
	if err := cmp.Or(err1, err2); err != nil {
		return err
	}
	if !measured {
		e.warn("kink radius not known: 5 outer diameters is taken, which is a guess; the real fold limit may be far higher or lower")
	}
	e.FoldLimit = q.Known(limit)
	return nil
}

// foldRange takes the kink radius, measured or guessed, and the radius at which no
// cable kinks.
func (c Column) foldRange(kink, harmless q.Length, measured bool) (FoldRange, error) {
	mid, err1 := c.LoadAtRadius(kink)
	sure, err2 := c.LoadAtRadius(harmless)
	spread := q.Force(math.Exp(oneSided * foldSpread))
	if !measured {
		return FoldRange{Low: sure / spread, Mid: mid}, cmp.Or(err1, err2)
	}
	high := min(mid*spread, c.CollapseLoad())
	return FoldRange{Low: mid / spread, Mid: mid, High: q.Known(high)}, err1
}

func (e *Expected) doublingBack(job Job) error {
	switch {
	case !e.CanDoubleBack:
		e.warn("the duct has no room for the cable to double back: past the fold limit it kinks where it lies")
	case !RoomForThree(job.OuterDiameter, job.InnerDiameter):
		e.warn("the duct has only just room for the cable to double back: a fold may jam")
	}
	return nil
}

func (e *Expected) gap(job Job) error {
	gap, known := job.Gap.Get()
	if !known {
		return nil
	}
	if err := gapRange.Check(gap); err != nil {
		return err
	}
	ei, known := e.BendingStiffness.Get()
	limit, alsoKnown := e.FoldLimit.Get()
	if !known || !alsoKnown {
		return nil
	}
	load, err := GapLoad(ei, gap, FixedPinned)
	if err == nil && load < limit.Mid {
		e.warn("the cable may buckle in the gap between drive and duct before it folds in the duct: shorten the gap or fit a lead-in piece")
	}
	return err
}

func (e *Expected) grip(job Job) error {
	crush, known1 := job.CrushLimit.Get()
	belt, known2 := job.BeltLength.Get()
	clamp, known3 := job.ClampPerGrip.Get()
	if !known1 || !known2 || !known3 {
		e.warn("grip ceiling not known: it needs the cable's crush limit, the belt length and the clamp force per grip pressure")
		return nil
	}
	ceiling, err := cable.GripCeiling(crush, belt, clamp)
	e.GripCeiling = q.Known(ceiling)
	return err
}

// bends is the radii to which the cable's axis can be bent at all.
func (job Job) bends(of string) cable.Range[q.Length] {
	return cable.Range[q.Length]{Of: of, Unit: "mm", Low: job.OuterDiameter / 2, High: cable.RadiusRange.High}
}
