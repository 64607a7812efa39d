package profiles

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"brinkmark/session"
	q "brinkmark/session/quantity"
	"brinkmark/session/run"
)

// hurtRow is a row of the index with folds or marked jackets in it, and the names by which it
// bears on others.
type hurtRow struct {
	*row
	cableMake, cableType, size, rig name
}

// foldsOf are the folds of a trial's own pushes. What they marked of the jacket stays with it:
// another trial has other belts.
func foldsOf(t session.Trial) []session.Hurt {
	var list []session.Hurt
	for _, a := range t.Attempts() {
		if a.Outcome == session.Fold {
			list = append(list, session.Hurt{Fold: true, Setting: q.Known(a.Setting), Cable: a.CableTemperature})
		}
	}
	return list
}

// hurtsOf are the folds and marked jackets of a run.
func hurtsOf(r run.Run) []session.Hurt {
	var list []session.Hurt
	for _, h := range r.Hurts() {
		list = append(list, session.Hurt{Fold: h.Fold, InRun: true, Setting: h.Setting, Cable: h.Cable})
	}
	return list
}

// know fills in what other records and supervisors say that bears on a profile.
func (c *Candidates) know(s *side) {
	s.hurts, s.expires, s.looked = nil, c.expires[s.id], c.looked[s.id]
	seen := map[string]bool{}
	for _, h := range c.hurts {
		// A rig that one side does not name may be the same.
		sameRig := h.rig.folded == "" || s.rig.folded == "" || h.rig.same(s.rig)
		if h.id == s.id || !sameRig || !h.size.same(s.size) || !h.cableMake.same(s.cableMake) || !h.cableType.same(s.cableType) {
			continue
		}
		if key := h.id + h.row.hurts; !seen[key] { // a profile's pushes are its trial's
			seen[key] = true
			for _, hurt := range unpackHurts(h.row.hurts) {
				hurt.Of = cmp.Or(h.kind, "trial") + " " + h.id
				s.hurts = append(s.hurts, hurt)
			}
		}
	}
}

// packHurts keeps folds and marks in the index as one text, each once.
func packHurts(list []session.Hurt) string {
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	var parts []string
	for _, h := range list {
		fields := []string{strconv.FormatBool(h.Fold), strconv.FormatBool(h.InRun), "", "", "", ""}
		if s, known := h.Setting.Get(); known {
			fields[2], fields[3], fields[4] = number(float64(s.Grip)), number(s.Speed.Value), unmarked.Replace(s.Speed.Unit)
		}
		if t, known := h.Cable.Get(); known {
			fields[5] = number(float64(t))
		}
		if part := strings.Join(fields, fieldMark); !slices.Contains(parts, part) {
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, listMark)
}

func unpackHurts(text string) []session.Hurt {
	var list []session.Hurt
	for part := range strings.SplitSeq(text, listMark) {
		f := strings.Split(part, fieldMark)
		if len(f) != 6 {
			continue
		}
		h := session.Hurt{Fold: f[0] == "true", InRun: f[1] == "true"}
		grip, err1 := strconv.ParseFloat(f[2], 64)
		speed, err2 := strconv.ParseFloat(f[3], 64)
		if err1 == nil && err2 == nil {
			h.Setting = q.Known(session.Setting{Grip: q.Pressure(grip), Speed: q.Reading{Value: speed, Unit: f[4]}})
		}
		if t, err := strconv.ParseFloat(f[5], 64); err == nil {
			h.Cable = q.Known(q.Temperature(t))
		}
		list = append(list, h)
	}
	return list
}
