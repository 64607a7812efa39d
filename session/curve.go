package session

// CurvePoint is the fold chance of one push at a speed with the belts holding: the
// mean, and the values that it stays above and under with 90 % of the weight each.
type CurvePoint struct{ Speed, Low, Mean, High float64 }

// FoldCurve returns the fold chance at each of these speeds (m/s, or the push
// control's own unit), as the pushes of an [Trial.Advisable] trial tell it.
func FoldCurve(t Trial, speeds []float64) []CurvePoint {
	f := newFacts(t)
	curve := make([]CurvePoint, 0, len(speeds))
	for _, v := range speeds {
		if v > 0 {
			curve = append(curve, CurvePoint{v,
				f.post.foldChanceBound(v, 1-boundWeight), f.post.foldChance(v), f.post.foldChanceBound(v, boundWeight)})
		}
	}
	return curve
}
