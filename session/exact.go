package session

import "gonum.org/v1/gonum/stat/distuv"

// RepeatsAlone is the 95 % one-sided upper bound of the fold chance that pushes
// prove by themselves, without any model: held of pushed did not fold.
//
// It is the exact binomial bound of Clopper and Pearson, the u that solves
// Σ_{i≤k} C(n,i) uⁱ (1−u)ⁿ⁻ⁱ = 0.05 for k folds in n pushes: the 0.95 quantile of a
// Beta(k+1, n−k) distribution; 1 − 0.05^(1/n) when none folded. It is 1 when there
// are no pushes, or when all folded.
//
// Source: Clopper and Pearson, Biometrika 26 (1934), 404–413; NIST/SEMATECH
// e-Handbook of Statistical Methods, 7.2.4.1.
func RepeatsAlone(held, pushed int) float64 {
	folds := pushed - held
	if held <= 0 {
		return 1
	}
	return distuv.Beta{Alpha: float64(folds + 1), Beta: float64(held)}.Quantile(0.95)
}
