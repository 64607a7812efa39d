package storetest

import (
	"fmt"
	"io/fs"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles/store"
)

// Suite is what every store must do. open opens one with nothing in it.
func Suite(t *testing.T, open func(t *testing.T) store.Store) {
	for name, must := range map[string]func(*testing.T, store.Store){
		"whole": whole, "exists": exists, "not there": notThere, "changed meanwhile": changedMeanwhile, "grows": grows,
		"no names": noNames, "listed": listed, "many": many, "held": held, "alone": alone, "first wins": firstWins, "kept": keptAside, "within": within,
	} {
		t.Run(name, func(t *testing.T) { must(t, open(t)) })
	}
}

const name = "trials/01M8938VPMQK1QTD27230G35TC.toml"

var new = store.Version{}

func text(t *testing.T, s store.Store, name string) (string, store.Version) {
	t.Helper()
	data, version, err := s.Read(name)
	require.NoError(t, err)
	require.NotEqual(t, new, version)
	through, err := s.ReadThrough(name)
	require.NoError(t, err)
	require.Equal(t, string(data), string(through))
	return string(data), version
}

func whole(t *testing.T, s store.Store) {
	for _, want := range []string{"a\n", "", strings.Repeat("long line\n", 100_000), "\x00\xff"} {
		version := new
		if e, err := s.Look(name); err == nil {
			version = e.Version()
		}
		require.NoError(t, s.Write(name, version, []byte(want)))
		got, now := text(t, s, name)
		require.Equal(t, want, got)
		e, err := s.Look(name)
		require.NoError(t, err)
		require.Equal(t, now, e.Version())
		require.True(t, e.Plain)
		require.False(t, e.Folder)
	}
	require.NoError(t, s.Confirm(name))
	require.NoError(t, s.Remove(name))
	_, _, err := s.Read(name)
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.NoError(t, s.Write(name, new, []byte("again")))
	data := []byte("mine")
	require.NoError(t, s.Write("cables/a.toml", new, data))
	data[0] = 'x'
	got, _ := text(t, s, "cables/a.toml")
	require.Equal(t, "mine", got, "what was written is not the writer's any more")
}

func exists(t *testing.T, s store.Store) {
	require.NoError(t, s.Write(name, new, []byte("first")))
	require.ErrorIs(t, s.Write(name, new, []byte("second")), fs.ErrExist)
	got, _ := text(t, s, name)
	require.Equal(t, "first", got)
}

func notThere(t *testing.T, s store.Store) {
	other := store.Version{Size: 5, Time: 7}
	_, _, read := s.Read(name)
	_, through := s.ReadThrough(name)
	_, look := s.Look(name)
	for what, err := range map[string]error{
		"read": read, "read through": through, "look": look, "write": s.Write(name, other, nil), "extend": s.Extend(name, other, []byte("x")),
		"extend new": s.Extend(name, new, []byte("x")), "cut": s.Cut(name, other, 0), "cut new": s.Cut(name, new, 0), "confirm": s.Confirm(name), "remove": s.Remove(name),
	} {
		require.ErrorIs(t, err, fs.ErrNotExist, what)
	}
	list, err := s.List("trials")
	require.NoError(t, err)
	require.Empty(t, list)
	require.Nil(t, s.HeldBy(name, time.Now()))
	require.Empty(t, s.Recall("index.tsv", 1<<20))
}

func changedMeanwhile(t *testing.T, s store.Store) {
	require.NoError(t, s.Write(name, new, []byte("one\n")))
	_, old := text(t, s, name)
	require.NoError(t, s.Extend(name, old, []byte("two\n")))
	for what, err := range map[string]error{
		"write": s.Write(name, old, []byte("mine\n")), "extend": s.Extend(name, old, []byte("mine\n")), "cut": s.Cut(name, old, 0),
	} {
		require.ErrorIs(t, err, store.ErrChanged, what)
	}
	got, _ := text(t, s, name)
	require.Equal(t, "one\ntwo\n", got)
}

func grows(t *testing.T, s store.Store) {
	require.NoError(t, s.Write(name, new, []byte("0\n")))
	want := "0\n"
	for n := 1; n < 20; n++ {
		_, version := text(t, s, name)
		more := fmt.Sprintf("%d\n", n)
		require.NoError(t, s.Extend(name, version, []byte(more)))
		want += more
		got, _ := text(t, s, name)
		require.Equal(t, want, got)
	}
	_, version := text(t, s, name)
	require.NoError(t, s.Cut(name, version, 4))
	got, _ := text(t, s, name)
	require.Equal(t, "0\n1\n", got)
}

func noNames(t *testing.T, s store.Store) {
	for _, bad := range []string{"", ".", "..", "../x", "/x", "x/", "a//b", "a/./b", "a/../b", "a/..", "\xff"} {
		_, _, read := s.Read(bad)
		_, look := s.Look(bad)
		_, hold := s.Hold(bad)
		for what, err := range map[string]error{
			"read": read, "look": look, "write": s.Write(bad, new, []byte("x")), "extend": s.Extend(bad, store.Version{Size: 1}, nil),
			"cut": s.Cut(bad, store.Version{Size: 1}, 0), "confirm": s.Confirm(bad), "remove": s.Remove(bad), "hold": hold, "keep": s.Keep(bad, nil),
		} {
			if bad == "." && what == "look" { // a folder, where a store has them
				continue
			}
			require.Error(t, err, "%s of %q", what, bad)
		}
		require.Empty(t, s.Recall(bad, 1<<20))
	}
	list, err := s.List(".")
	require.NoError(t, err)
	require.Empty(t, list)
}

func listed(t *testing.T, s store.Store) {
	for _, name := range []string{"trials/b.toml", "trials/a.toml", "trials/received/c.toml", "trials/å.toml", "profiles/2026-05/x.toml", "profiles/2026-04/y.toml"} {
		require.NoError(t, s.Write(name, new, []byte(name)))
	}
	shown := func(folder string) (names []string) {
		list, err := s.List(folder)
		require.NoError(t, err)
		for _, e := range list {
			require.NotEqual(t, e.Plain, e.Folder)
			name := e.Name
			if e.Folder {
				name += "/"
				require.Equal(t, new, e.Version())
			} else {
				_, version := text(t, s, folder+"/"+e.Name)
				require.Equal(t, version, e.Version())
			}
			names = append(names, name)
		}
		return names
	}
	require.Equal(t, []string{"a.toml", "b.toml", "received/", "å.toml"}, shown("trials"))
	require.Equal(t, []string{"2026-04/", "2026-05/"}, shown("profiles"))
	require.Equal(t, []string{"profiles/", "trials/"}, shown("."))
	e, err := s.Look("trials/received")
	require.NoError(t, err)
	require.True(t, e.Folder)
}

func many(t *testing.T, s store.Store) {
	if testing.Short() {
		t.Skip("ten thousand texts take some seconds")
	}
	const n = 10_000
	for i := range n {
		require.NoError(t, s.Write(fmt.Sprintf("runs/%05d.toml", (i*7919)%n), new, []byte("x")))
	}
	list, err := s.List("runs")
	require.NoError(t, err)
	require.Len(t, list, n)
	for i, e := range list {
		require.Equal(t, fmt.Sprintf("%05d.toml", i), e.Name)
	}
}

func held(t *testing.T, s store.Store) {
	require.NoError(t, s.Write(name, new, []byte("x")))
	mine, err := s.Hold(name)
	require.NoError(t, err)
	require.True(t, mine.Held())
	_, err = s.Hold(name)
	var locked *store.LockedError
	require.ErrorAs(t, err, &locked)
	require.NotZero(t, locked.Holder)
	require.NotNil(t, s.HeldBy(name, time.Now()))
	other, err := s.Hold("trials/other.toml")
	require.NoError(t, err, "another record is free, also before it is there")
	require.NoError(t, other.Release())
	_, version := text(t, s, name)
	require.NoError(t, s.Extend(name, version, []byte("y")), "who has it goes on")
	require.NoError(t, mine.Release())
	require.False(t, mine.Held())
	next, err := s.Hold(name)
	require.NoError(t, err)
	require.NoError(t, mine.Release(), "a second time does nothing")
	_, err = s.Hold(name)
	require.ErrorAs(t, err, &locked)
	require.NoError(t, next.Release())
	require.Nil(t, s.HeldBy(name, time.Now()))
	list, err := s.List("trials")
	require.NoError(t, err)
	require.Len(t, list, 1, "nothing stays beside a record")
}

func alone(t *testing.T, s store.Store) {
	var inside atomic.Int32
	var all sync.WaitGroup
	for range 4 {
		all.Add(1)
		go func() {
			defer all.Done()
			for range 5 {
				if err := s.Alone(func() error {
					if inside.Add(1) > 1 {
						t.Error("two at once")
					}
					time.Sleep(time.Millisecond)
					inside.Add(-1)
					return nil
				}); err != nil {
					t.Error(err)
				}
			}
		}()
	}
	all.Wait()
	require.ErrorIs(t, s.Alone(func() error { return fs.ErrClosed }), fs.ErrClosed)
}

// Of many who write the same new name, or the next version of one, one does.
func firstWins(t *testing.T, s store.Store) {
	race := func(write func(who string) error) (won string) {
		var all sync.WaitGroup
		var lock sync.Mutex
		winners := []string{}
		for i := range 8 {
			all.Add(1)
			go func() {
				defer all.Done()
				who := fmt.Sprintf("writer %d", i)
				if err := write(who); err == nil {
					lock.Lock()
					winners = append(winners, who)
					lock.Unlock()
				}
			}()
		}
		all.Wait()
		require.Len(t, winners, 1)
		return winners[0]
	}
	won := race(func(who string) error { return s.Write(name, new, []byte(who)) })
	got, _ := text(t, s, name)
	require.Equal(t, won, got)
}

func keptAside(t *testing.T, s store.Store) {
	require.NoError(t, s.Write("trials/x.toml", new, []byte("x")))
	large := strings.Repeat("x", store.MaxText+100)
	for _, want := range []string{"made from the records", large, "b"} {
		require.NoError(t, s.Keep("index.tsv", []byte(want)))
		require.Equal(t, want, string(s.Recall("index.tsv", store.MaxText*2)))
	}
	require.NoError(t, s.Keep("index.tsv", []byte(large)))
	require.Empty(t, s.Recall("index.tsv", store.MaxText), "larger than is wanted")
	require.NoError(t, s.Tidy("trials", time.Now()))
}

func within(t *testing.T, s store.Store) {
	part, err := s.Within("example")
	require.NoError(t, err)
	require.NoError(t, part.Write(name, new, []byte("apart")))
	got, _ := text(t, s, "example/"+name)
	require.Equal(t, "apart", got)
	_, err = s.Look(name)
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.Equal(t, s.Where("example/"+name), part.Where(name))
	require.True(t, strings.HasPrefix(s.Where(name), s.Where("")))
	require.True(t, s.State().There)
	require.NoError(t, s.Refuses("trials"))
}

// Outcomes makes each call of a store's disk fail in turn, in each way: what is kept then is what a
// [store.Store] says it may be, a refusal says why, and with the next version it can be written.
// open opens a store on a disk that holds no more than it did before.
func Outcomes(t *testing.T, open func(t *testing.T, fault Fault, at int) (s store.Store, calls func() int)) {
	const old, next, more = "one\ntwo\n", "another\ntext\n", "three\nfour\n"
	for verb, row := range map[string]struct {
		do  func(s store.Store, v store.Version) error
		may []string
	}{
		"write":  {func(s store.Store, v store.Version) error { return s.Write(name, v, []byte(next)) }, []string{old, next}},
		"extend": {func(s store.Store, v store.Version) error { return s.Extend(name, v, []byte(more)) }, beginnings(old, more)},
		"cut":    {func(s store.Store, v store.Version) error { return s.Cut(name, v, 4) }, []string{old, old[:4]}},
	} {
		for fault := Refuses; fault <= Forgets; fault++ {
			reached := true
			for at := 1; reached; at++ {
				when := fmt.Sprintf("%s, fault %d at call %d", verb, fault, at)
				s, _ := open(t, fault, -1)
				require.NoError(t, s.Write(name, new, []byte(old)))
				_, version := text(t, s, name)
				failing, calls := open(t, fault, at)
				err := row.do(failing, version)
				reached = calls() >= at
				got, now := text(t, s, name)
				require.Contains(t, row.may, got, when)
				if err == nil {
					require.Equal(t, row.may[len(row.may)-1], got, when)
				} else {
					require.ErrorIs(t, err, store.ErrFull, when)
				}
				require.NoError(t, s.Write(name, now, []byte("mended")), when)
				require.NoError(t, s.Remove(name))
			}
		}
	}
}

// beginnings are a text with each beginning of another after it.
func beginnings(text, more string) (all []string) {
	for i := range len(more) + 1 {
		all = append(all, text+more[:i])
	}
	return all
}
