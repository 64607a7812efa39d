package profiles

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A profile's id is one profile's, whatever month's folder it lies in: another of the same id
// would be found in its place, and what is decided about one be done to the other.
func TestExchangeTakesAnIDOnce(t *testing.T) {
	l, stick := twoSides(t)
	good := goodSample(t)
	forged := func(n int) sample {
		s := good.as(n).with("started = 2026-05-14", "started = 2020-01-14").with(`speed = "95 ft/min"`, `speed = "115 ft/min"`)
		s.name = strings.Replace(s.name, "2026-05", "2020-01", 1)
		return s
	}
	writeSample(t, inFolder(stick), forged(1)) // the library has one of this id in 2026-05
	writeSample(t, l, forged(2))               // and so has the stick of this
	writeSample(t, inFolder(stick), good.as(3))
	writeSample(t, inFolder(stick), forged(3)) // and twice on one side
	mine, its := tree(t, l.Where()), tree(t, stick)
	for range 2 {
		x, err := exchangeWith(l, stick, nil)
		require.NoError(t, err)
		require.NotContains(t, x.In, forged(1).name)
		require.NotContains(t, x.Out, forged(2).name)
		require.Len(t, x.Refused, 6, "%v", x.Refused)
		for _, err := range x.Refused {
			require.ErrorContains(t, err, "a record of the same id in each of profiles/2020-01, profiles/2026-05")
		}
		name, err := l.profileName(good.as(1).id)
		require.NoError(t, err)
		require.Equal(t, good.name, strings.Replace(name, good.as(1).id, good.id, 1))
	}
	after := tree(t, l.Where())
	for name, text := range mine {
		require.Equal(t, text, after[name])
	}
	require.NotContains(t, after, good.as(3).name, "which of the two is meant nobody knows")
	require.NotContains(t, after, forged(3).name)
	after = tree(t, stick)
	for name, text := range its {
		require.Equal(t, text, after[name])
	}
}

// A card of ours that cannot be read may be the one of that name: no other is put beside it.
func TestExchangeLeavesCardsBesideAnUnreadableOne(t *testing.T) {
	l, stick := reviewLibrary(t), t.TempDir()
	writeInto(t, l, "rigs/rig-2.toml", "format = 1\n[rig]\nname = \"Rig 2\"\nhorns = 2\n")
	writeInto(t, inFolder(stick), "rigs/rig-2.toml", "format = 1\n[rig]\nname = \"Rig 2\"\ngrip_limit = \"90 psi\"\n")
	writeInto(t, inFolder(stick), "ducts/a.toml", "format = 1\n[duct]\nsize = \"1.25 in SDR 11\"\n")
	was := tree(t, l.Where())
	x, err := exchangeWith(l, stick, nil)
	require.NoError(t, err)
	now := tree(t, l.Where())
	require.Len(t, now, len(was)+1, "the duct")
	require.Len(t, x.Cards, 1)
	require.Len(t, x.Refused, 2)
	require.ErrorContains(t, x.Refused[1], "Rig 2")
	require.ErrorContains(t, x.Refused[1], "mend")
}
