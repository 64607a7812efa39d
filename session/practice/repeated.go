package practice

import "brinkmark/session"

// mixed are the two outcomes that a wrong reading mixed up, in the order of the signs; nothing
// for a reading that got another thing wrong.
func (v Verdict) mixed() (pair [2]session.Outcome, ok bool) {
	was := v.Truth.Outcome
	void := was == session.Void || v.Read == session.Void // it has signs of its own each time
	if void || v.Read == 0 || v.Read == was {
		return pair, false
	}
	return [2]session.Outcome{min(v.Read, was), max(v.Read, was)}, true
}

// Repeated reports whether the last reading mixed up two outcomes for the second time, or
// the fourth: it is time to see them side by side.
func Repeated(readings []Verdict) bool {
	if len(readings) == 0 {
		return false
	}
	last, ok := readings[len(readings)-1].mixed()
	times := 0
	for _, v := range readings {
		if pair, mixed := v.mixed(); mixed && pair == last {
			times++
		}
	}
	return ok && times > 0 && times%2 == 0
}
