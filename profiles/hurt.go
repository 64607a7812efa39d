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

// hurts are the folds and marked jackets of a library, by the cable, duct and rig they bear on.
type hurts struct {
	rows   []hurtRow
	names  []name // each spelling once
	fronts map[[4]string][]session.Hurt
}

// hurtRow is a row of the index with folds or marked jackets in it, and the places of its make,
// type, duct size and rig in the names.
type hurtRow struct {
	*row
	spelled [4]int
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
	s.expires, s.looked = c.expires[s.id], c.looked[s.id]
	s.hurts = c.hurts.against(s.id, [4]string{s.cableMake.said, s.cableType.said, s.size.said, s.rig.said})
}

// against are the hurts that bear on a profile but its own: its pushes speak for themselves.
func (h *hurts) against(id string, key [4]string) []session.Hurt {
	var list []session.Hurt
	for _, hurt := range h.of(key) {
		if id == "" || !strings.HasSuffix(hurt.Of, id) {
			list = append(list, hurt)
		}
	}
	return list
}

// of are the hurts that bear on a cable make, type, duct size and rig, without those that
// another of them outdoes. A rig that one side does not name may be the same.
func (h *hurts) of(key [4]string) []session.Hurt {
	if front, known := h.fronts[key]; known {
		return front
	}
	var fits [4][]bool
	for i, said := range key {
		n := newName(said)
		for _, spelled := range h.names {
			fits[i] = append(fits[i], n.same(spelled) || i == 3 && (n.folded == "" || spelled.folded == ""))
		}
	}
	var front []session.Hurt
	for _, r := range h.rows {
		if fits[0][r.spelled[0]] && fits[1][r.spelled[1]] && fits[2][r.spelled[2]] && fits[3][r.spelled[3]] {
			for _, hurt := range unpackHurts(r.row.hurts) {
				hurt.Of = cmp.Or(r.kind, "trial") + " " + r.id
				front = withHurt(front, hurt)
			}
		}
	}
	if h.fronts == nil {
		h.fronts = map[[4]string][]session.Hurt{}
	}
	h.fronts[key] = front
	return front
}

// withHurt adds a hurt, unless one of the same record, or two of others, say as much and more:
// of two records, since one of them may be the profile's own.
func withHurt(front []session.Hurt, h session.Hurt) []session.Hurt {
	others := map[string]bool{}
	for _, f := range front {
		if outdoes(f, h) {
			if f.Of == h.Of || len(others) > 0 && !others[f.Of] {
				return front
			}
			others[f.Of] = true
		}
	}
	return append(front, h)
}

// outdoes reports whether whatever one hurt speaks against, another does too.
func outdoes(a, b session.Hurt) bool {
	s, known1 := a.Setting.Get()
	t, known2 := b.Setting.Get()
	at, read1 := a.Cable.Get()
	bt, read2 := b.Cable.Get()
	if a.Fold != b.Fold || known1 != known2 || s.Speed.Unit != t.Speed.Unit || read1 != read2 || at > bt {
		return false
	}
	if a.Fold {
		return s.Speed.Value <= t.Speed.Value
	}
	return s.Grip <= t.Grip
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
