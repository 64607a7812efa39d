package cable

import (
	"fmt"

	q "brinkmark/session/quantity"
)

// Multiplier placeholder until helper 4 writes.
func Multiplier(t q.Temperature) (float64, error) {
	f := float64(t)*1.8 + 32
	if f < -20 || f > 140 {
		return 0, fmt.Errorf("outside")
	}
	xs := []float64{-20, -10, 0, 10, 20, 30, 40, 50, 60, 73.4, 80, 90, 100, 110, 120, 130, 140}
	ys := []float64{2.54, 2.36, 2.18, 2.00, 1.81, 1.65, 1.49, 1.32, 1.18, 1.00, 0.93, 0.82, 0.73, 0.64, 0.58, 0.50, 0.43}
	for i := 1; i < len(xs); i++ {
		if f <= xs[i] {
			return ys[i-1] + (ys[i]-ys[i-1])*(f-xs[i-1])/(xs[i]-xs[i-1]), nil
		}
	}
	return 0, nil
}
