package draw

import (
	"cmp"
	"fmt"
	"time"

	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// RunTrace is what a run has shown so far, and what was expected.
type RunTrace struct {
	View     run.View
	Plan     run.Plan
	Expected []Spot // speed in m/s over the head's place in m
	Start    run.Start
	Now      time.Time
}

// PlotRun draws distance and speed over the time since the start, each with what the reach
// expects: the speed at the places where points were logged, and the distance of a run at
// that speed. It takes at most h lines of w characters, and is empty where it would be too
// small to read.
func PlotRun(t RunTrace, w, h int) []string {
	if len(t.View.Log) == 0 || t.Start.At.IsZero() {
		return []string{"Nothing is logged yet."}
	}
	lengthUnit, speedUnit := cmp.Or(t.Plan.Units.Length, "m"), cmp.Or(t.Plan.Units.Speed, "m/min")
	minutes := func(at time.Time) float64 { return at.Sub(t.Start.At).Minutes() }
	end := max(minutes(t.Now), 1)
	in, speed := curve{symbol: 'o'}, curve{symbol: '*'}
	wantedIn, wanted := curve{symbol: '.'}, curve{symbol: '-'}
	in.places = append(in.places, Spot{0, q.In(t.Start.HeadIn, lengthUnit), true})
	along := curve{places: t.Expected}
	for _, s := range t.View.Log {
		x := minutes(s.At)
		if v, known := s.In.Get(); known {
			in.places = append(in.places, Spot{x, q.In(v, lengthUnit), true})
			if e, foreseen := along.at(float64(v)); foreseen {
				wanted.places = append(wanted.places, Spot{x, q.In(q.Speed(e), speedUnit), true})
			}
		}
		if v, known := s.Speed.Get(); known {
			speed.places = append(speed.places, Spot{x, q.In(v, speedUnit), true})
		}
	}
	wantedIn.places = expectedWay(along, end, lengthUnit)
	if h < 2*(leastPlotHeight+1) {
		return inOne(&in, &speed, &wantedIn, &wanted, plotFrame{end, lengthUnit, speedUnit, w, h})
	}
	half := h / 2
	scaled(&in, &wantedIn)
	scaled(&speed, &wanted)
	upper := plot([]curve{in, wantedIn}, end, "min", w, half-1)
	lower := plot([]curve{speed, wanted}, end, "min", w, h-half-1)
	if upper == nil || lower == nil {
		return nil
	}
	more := ""
	if len(t.Expected) > 0 {
		more = "   %s as expected"
	}
	lines := append([]string{words.ClipTo(fmt.Sprintf("o in, %s"+orNothing(more, "."), lengthUnit), w)}, upper...)
	return append(append(lines, words.ClipTo(fmt.Sprintf("* speed, %s"+orNothing(more, "-"), speedUnit), w)), lower...)
}

// plotFrame is the room for a plot, and what is drawn along it.
type plotFrame struct {
	end               float64 // min
	lengthUnit, speed string
	w, h              int
}

// inOne draws distance and speed over each other where there is no room for two plots.
func inOne(in, speed, wantedIn, wanted *curve, f plotFrame) []string {
	scaled(in, wantedIn)
	scaled(speed, wanted)
	lines := plot([]curve{*in, *speed, *wantedIn, *wanted}, f.end, "min", f.w, f.h-1)
	if lines == nil {
		return nil
	}
	caption := fmt.Sprintf("o in, %s   * speed, 0 to %s %s   . - expected", f.lengthUnit, figureOf(speed.high), f.speed)
	return append([]string{words.ClipTo(caption, f.w)}, lines...)
}

func orNothing(format, sign string) string {
	if format == "" {
		return ""
	}
	return fmt.Sprintf(format, sign)
}

// expectedWay is the distance over the minutes, at the speed the reach has.
//
//	dx/dt = v(x)
func expectedWay(along curve, end float64, unit string) []Spot {
	const steps = 200
	var way []Spot
	x, dt := 0.0, end*60/steps
	for i := range steps + 1 {
		way = append(way, Spot{end * float64(i) / steps, q.In(q.Length(x), unit), true})
		v, known := along.at(x)
		if !known {
			return way[:max(0, len(way)-1)]
		}
		x += v * dt
	}
	return way
}
