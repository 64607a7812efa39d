package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"brinkmark/session"
	q "brinkmark/session/quantity"
)

// sheetMap is the map of a trial, in the points of an SVG picture: grip pressure across,
// push control up. Kinds of outcome differ by shape, so that it reads in black and white.
type sheetMap struct {
	Width, Height, Left, Right, Top, Bottom int
	Across, Up                              string // what the axes show
	XTicks, YTicks                          []mapTick
	Marks                                   []mapMark
	Set                                     bool // whether the setting is shown: one that holds for nothing is not
	SetX, SetY                              float64
	FoldY                                   float64 // of the lowest fold, 0 when there is none
	Fold                                    string
}

// Middle is the middle of the picture's width, and Centre of its height, for the texts
// beside.
func (m sheetMap) Middle() int { return (m.Left + m.Right) / 2 }
func (m sheetMap) Centre() int { return (m.Top + m.Bottom) / 2 }

// Below is so far below the picture.
func (m sheetMap) Below(points int) int { return m.Bottom + points }

type mapTick struct {
	At    float64
	Label string
}

type mapMark struct {
	X, Y  float64
	Shape string // stall, slip, fold, void
	N     int    // how many pushes stand at this point
}

// newSheetMap draws all pushes that stand, and the accepted setting. It is nil when the
// setting cannot be placed.
func newSheetMap(t session.Trial, speed, grip string) *sheetMap {
	set, err1 := q.ParseReading(speed)
	pressure, err2 := q.Parse[q.Pressure](grip)
	if err1 != nil || err2 != nil || set.Value <= 0 || pressure <= 0 {
		return nil
	}
	m := &sheetMap{Width: 360, Height: 300, Left: 44, Right: 350, Top: 8, Bottom: 262}
	topGrip, topSpeed, lowest := float64(pressure), set.Value, math.Inf(1)
	for _, a := range t.Attempts() {
		topGrip, topSpeed = max(topGrip, float64(a.Setting.Grip)), max(topSpeed, a.Setting.Speed.Value)
		if a.Outcome == session.Fold {
			lowest = min(lowest, a.Setting.Speed.Value)
		}
	}
	gripUnit := t.Rig.GripUnit
	acrossOf := func(p q.Pressure) float64 { return q.In(p, gripUnit) }
	upOf := func(v float64) float64 {
		if t.Rig.Reading(v).Unit == "m/s" {
			return q.In(q.Speed(v), t.Rig.PushUnit)
		}
		return v
	}
	xs, ys := ticks(acrossOf(q.Pressure(topGrip))), ticks(upOf(topSpeed))
	xTop, yTop := xs[len(xs)-1], ys[len(ys)-1]
	x := func(p q.Pressure) float64 { return round(float64(m.Left) + acrossOf(p)/xTop*float64(m.Right-m.Left)) }
	y := func(v float64) float64 { return round(float64(m.Bottom) - upOf(v)/yTop*float64(m.Bottom-m.Top)) }
	for _, v := range xs {
		m.XTicks = append(m.XTicks, mapTick{round(float64(m.Left) + v/xTop*float64(m.Right-m.Left)), fmt.Sprintf("%g", v)})
	}
	for _, v := range ys {
		m.YTicks = append(m.YTicks, mapTick{round(float64(m.Bottom) - v/yTop*float64(m.Bottom-m.Top)), fmt.Sprintf("%g", v)})
	}
	at := map[mapMark]int{}
	for _, a := range t.Attempts() {
		mark := mapMark{X: x(a.Setting.Grip), Y: y(a.Setting.Speed.Value), Shape: a.Outcome.String()}
		if at[mark] == 0 {
			m.Marks = append(m.Marks, mark)
		}
		at[mark]++
	}
	for i := range m.Marks {
		m.Marks[i].N = at[m.Marks[i]]
	}
	rank := map[string]int{session.Stall.String(): 1, session.Slip.String(): 2, session.Fold.String(): 3}
	slices.SortStableFunc(m.Marks, func(a, b mapMark) int { return cmp.Compare(rank[a.Shape], rank[b.Shape]) }) // what matters more lies on top
	m.SetX, m.SetY = x(pressure), y(set.Value)
	if !math.IsInf(lowest, 1) {
		m.FoldY, m.Fold = y(lowest), printable(t.Rig.ShowSpeed(lowest))
	}
	m.Across, m.Up = printable("grip pressure ("+gripUnit+")"), printable(pushName(t.Rig)+" ("+t.Rig.PushUnit+")")
	return m
}

func pushName(r session.Rig) string {
	return r.Control()
}

// ticks are round numbers from 0 past a top, four to eight of them: the steps are 1, 2 or
// 5 of some power of ten, and the top is 2 to 6 of them.
func ticks(top float64) []float64 {
	step := math.Pow(10, math.Floor(math.Log10(top)))
	for _, part := range []float64{0.2, 0.5, 1, 2} {
		if top/(step*part) <= 6 {
			step *= part
			break
		}
	}
	list := []float64{0}
	for n := 1.0; list[len(list)-1] < top*1.04; n++ {
		list = append(list, math.Round(n*step*1e6)/1e6)
	}
	return list
}

func round(x float64) float64 { return math.Round(x*10) / 10 }
