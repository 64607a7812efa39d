package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"brinkmark/ui/words"

	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// curve is one line of a plot: its values at rising places, its symbol, and its scale.
type curve struct {
	symbol    rune
	places    []Spot
	low, high float64 // of the scale
}

// Spot is a value at a place. One that is not known ends a curve, until the next.
type Spot struct {
	X, Y  float64
	Known bool
}

const (
	leastPlotWidth, leastPlotHeight = 24, 6
	plotMargin                      = 9 // columns for the figures of the scale
)

// plot draws curves over a span in h lines of w characters: h−2 lines of curves, the axis,
// and its figures. The scale at the left is that of the first curve. Smaller than it can be
// read, there is none.
func plot(curves []curve, end float64, unit string, w, h int) []string {
	if w < leastPlotWidth || h < leastPlotHeight || len(curves) == 0 || !(end > 0) {
		return nil
	}
	rows, columns := h-2, w-plotMargin-1
	cells := make([][]rune, rows)
	for i := range cells {
		cells[i] = []rune(strings.Repeat(" ", columns))
	}
	for _, c := range slices.Backward(curves) { // the first is drawn over the others
		for column := range columns {
			y, known := c.at(end * float64(column) / float64(columns-1))
			if row, inside := c.row(y, rows); known && inside {
				cells[row][column] = c.symbol
			}
		}
	}
	lines := make([]string, 0, h)
	for i, cell := range cells {
		label := ""
		if i == 0 || i == rows-1 || i == rows/2 {
			label = figureOf(curves[0].high - (curves[0].high-curves[0].low)*float64(i)/float64(rows-1))
		}
		lines = append(lines, strings.TrimRight(fmt.Sprintf("%*s |%s", plotMargin-1, label, string(cell)), " "))
	}
	lines = append(lines, strings.Repeat(" ", plotMargin)+"+"+strings.Repeat("-", columns))
	last := figureOf(end) + " " + unit
	return append(lines, strings.Repeat(" ", plotMargin+1)+"0"+strings.Repeat(" ", max(1, columns-1-len([]rune(last))))+last)
}

// figureOf writes a number of a scale.
func figureOf(v float64) string {
	if math.Abs(v) < 10 {
		v = math.Round(v*10) / 10
		return strings.TrimSuffix(fmt.Sprintf("%.1f", v+0), ".0")
	}
	return fmt.Sprintf("%.0f", v)
}

// at is the value at a place, between those that are given.
func (c curve) at(x float64) (y float64, known bool) {
	i, _ := slices.BinarySearchFunc(c.places, x, func(s Spot, x float64) int {
		if s.X < x {
			return -1
		}
		return 1
	})
	if i == len(c.places) || i == 0 {
		i = min(i, len(c.places)-1)
		if i < 0 || math.Abs(c.places[i].X-x) > 1e-6*math.Max(1, math.Abs(x)) && i > 0 {
			return 0, false
		}
		return c.places[i].Y, c.places[i].Known && c.places[i].X <= x*(1+1e-9)
	}
	a, b := c.places[i-1], c.places[i]
	if !a.Known || !b.Known {
		return 0, false
	}
	return a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X), true
}

// row is the line from the top on which a value lies.
func (c curve) row(y float64, rows int) (row int, inside bool) {
	if !(c.high > c.low) {
		return rows - 1, y == c.low
	}
	row = int(math.Round((c.high - y) / (c.high - c.low) * float64(rows-1)))
	return row, row >= 0 && row < rows
}

// scaled sets the scale to hold all values, and 0.
func scaled(curves ...*curve) {
	low, high := 0.0, 0.0
	for _, c := range curves {
		for _, s := range c.places {
			if s.Known {
				low, high = math.Min(low, s.Y), math.Max(high, s.Y)
			}
		}
	}
	if high == low {
		high = low + 1
	}
	for _, c := range curves {
		c.low, c.high = low, high
	}
}

// PlotAlong draws push and pressure along the cable with the head at its reach, in at
// most h lines of w characters. It is empty where it would be too small to read.
func PlotAlong(r reach.Result, u reach.Units, w, h int) []string {
	push, pressure := curve{symbol: 'o'}, curve{symbol: '.'}
	for _, p := range r.Profile {
		x := q.In(p.At, u.Length)
		push.places = append(push.places, Spot{x, q.In(p.Push, u.Force), true})
		pressure.places = append(pressure.places, Spot{x, q.In(p.Pressure, u.Pressure), true})
	}
	scaled(&push)
	scaled(&pressure)
	lines := plot([]curve{push, pressure}, q.In(r.Reach, u.Length), u.Length, w, h-1)
	if lines == nil {
		return nil
	}
	caption := fmt.Sprintf("o push in the cable, %s   . air pressure, 0 to %s", u.Force, q.Text(r.Inlet, u.Pressure))
	return append([]string{words.ClipTo(caption, w)}, lines...)
}

// PlotHeads draws the push required behind the seal over the position of the head,
// beside what is available there. Where the curve ends the cable is locked.
func PlotHeads(r reach.Result, u reach.Units, w, h int) []string {
	required, available := curve{symbol: 'o'}, curve{symbol: '-'}
	most := 0.0
	for _, p := range r.Heads {
		most = math.Max(most, q.In(p.Available, u.Force))
	}
	for _, p := range r.Heads {
		x := q.In(p.At, u.Length)
		push, known := p.Required.Get()
		y := 0.0
		if known {
			y = q.In(push, u.Force)
		}
		required.places = append(required.places, Spot{x, y, known && y <= 2*most+1})
		available.places = append(available.places, Spot{x, q.In(p.Available, u.Force), true})
	}
	scaled(&required, &available)
	lines := plot([]curve{required, available}, q.In(r.End, u.Length), u.Length, w, h-1)
	if lines == nil {
		return nil
	}
	caption := fmt.Sprintf("Behind the seal, by head place: o needed, %s  - available", u.Force)
	return append([]string{words.ClipTo(caption, w)}, lines...)
}
