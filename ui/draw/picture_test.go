package draw

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session/push"
	q "brinkmark/session/quantity"
	"brinkmark/ui/golden"
)

// pictureJob is a job of an invented cable, in a stub of 3 m.
func pictureJob(od, id, ei, mass float64) push.Job {
	return push.Job{
		OuterDiameter: q.Length(od), InnerDiameter: q.Length(id),
		Stiffness: q.Known(q.Stiffness(ei)), Mass: q.Known(q.LinearDensity(mass)),
		StubLength: q.Known(q.Length(3)),
	}
}

func pictureOf(t *testing.T, job push.Job, w, h int) []string {
	t.Helper()
	e, err := push.Expect(job)
	require.NoError(t, err)
	return Picture(e, job, w, h)
}

func TestPictureGolden(t *testing.T) {
	for name, job := range map[string]push.Job{
		"roomy":   pictureJob(0.012, 0.033, 2, 0.110),
		"tight":   pictureJob(0.006, 0.010, 0.1, 0.030),
		"slender": pictureJob(0.006, 0.033, 0.1, 0.030),
	} {
		golden.Same(t, name, strings.Join(pictureOf(t, job, 76, 32), "\n")+"\n")
	}
}

// The picture is what the numbers say: the cable as thick as it is in its bore, the
// half waves and turns as many as the stub has.
func TestPictureIsToScale(t *testing.T) {
	for _, tt := range []struct {
		job          push.Job
		bends, turns int
		can          bool
	}{
		{pictureJob(0.012, 0.033, 2, 0.110), 3, 2, true},
		{pictureJob(0.006, 0.010, 0.1, 0.030), 6, 4, false},
		{pictureJob(0.006, 0.033, 0.1, 0.030), 4, 2, true},
	} {
		const rows = 6
		lines := pictureOf(t, tt.job, 76, 4*(rows+3))
		require.Len(t, lines, 4*(rows+3))
		panels := [4][]string{}
		for i := range panels {
			panels[i] = lines[i*(rows+3) : (i+1)*(rows+3)]
		}
		thick := float64(tt.job.OuterDiameter / tt.job.InnerDiameter)
		require.InDelta(t, 2*rows*thick, halves(panels[0], 10), 0.51, "thickness in half characters")
		require.Equal(t, 0, halves(panels[0][:rows/2], 10), "it lies on the bottom")

		const source = "Dawson & Paslay 1984; Chen, Lin & Cheatham 1990: whole waves in a stub of 3 m, derived here"
		require.Contains(t, panels[1][0], "bends: "+string(rune('0'+tt.bends)), source)
		require.Contains(t, panels[2][0], "turns: "+string(rune('0'+tt.turns)), source)
		require.Equal(t, (tt.bends+1)/2, runs(panels[1][2]), "crests that touch one wall")
		require.Equal(t, tt.bends/2, runs(panels[1][rows+1])-partial(panels[1][rows+1]), "and the other")
		require.Equal(t, tt.can, strings.Contains(panels[3][0], "Folded back at its tip"), "geometry: 2 diameters")
		require.Equal(t, !tt.can, strings.Contains(strings.Join(panels[3][1:], ""), "X"), "a kink is marked")
	}
}

// halves counts the half characters of cable in one column.
func halves(lines []string, column int) int {
	n := 0
	for _, l := range lines[1:] {
		n += map[byte]int{'#': 2, '"': 1, '_': 1}[l[column]]
	}
	return n
}

// runs counts the pieces of cable that touch the row.
func runs(line string) int {
	return len(strings.FieldsFunc(strings.TrimSuffix(line, "|"), func(r rune) bool { return r == ' ' }))
}

// partial is 1 when the row begins or ends in the middle of a piece.
func partial(line string) int {
	n := 0
	if line[0] != ' ' {
		n++
	}
	if strings.TrimSuffix(line, "|") != "" && line[len(line)-2] != ' ' {
		n++
	}
	return n
}

func TestPictureFits(t *testing.T) {
	job := pictureJob(0.012, 0.033, 2, 0.110)
	for _, size := range []struct{ w, h, panels int }{{76, 40, 4}, {76, 24, 4}, {60, 23, 3}, {40, 12, 2}, {40, 6, 1}} {
		lines := pictureOf(t, job, size.w, size.h)
		require.LessOrEqual(t, len(lines), size.h)
		captions := 0
		for _, l := range lines {
			require.LessOrEqual(t, len(l), size.w)
			require.Regexp(t, `^[ -~]+$`, l, "plain characters only")
			if strings.Contains(l, "the ") {
				captions++
			}
		}
		require.Equal(t, size.panels, captions, "%v", size)
	}
	require.Empty(t, pictureOf(t, job, 39, 40), "too narrow to tell a bend from a turn")
	require.Empty(t, pictureOf(t, job, 76, 5))
}

func TestNoPictureWithoutFigures(t *testing.T) {
	whole := pictureJob(0.012, 0.033, 2, 0.110)
	for name, take := range map[string]func(*push.Job){
		"stub":      func(j *push.Job) { j.StubLength = q.Maybe[q.Length]{} },
		"mass":      func(j *push.Job) { j.Mass = q.Maybe[q.LinearDensity]{} },
		"stiffness": func(j *push.Job) { j.Stiffness = q.Maybe[q.Stiffness]{} },
	} {
		job := whole
		take(&job)
		require.Empty(t, pictureOf(t, job, 76, 32), name)
	}
}

func FuzzPicture(f *testing.F) {
	f.Add(0.012, 0.033, 2.0, 0.11, 3.0, 76, 32)
	f.Add(0.0005, 1.0, 1e-6, 50.0, 1e5, 40, 6)
	f.Add(0.19, 0.2, 1e6, 1e-4, 0.001, 200, 100)
	f.Fuzz(func(t *testing.T, od, id, ei, mass, stub float64, w, h int) {
		job := pictureJob(od, id, ei, mass)
		job.StubLength = q.Known(q.Length(stub))
		e, err := push.Expect(job)
		if err != nil || w > 300 || h > 100 {
			return
		}
		lines := Picture(e, job, w, h)
		require.LessOrEqual(t, len(lines), max(h, 0))
		for _, l := range lines {
			require.LessOrEqual(t, len(l), w)
		}
	})
}
