package show

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"brinkmark/profiles"
	"brinkmark/profiles/store"
	"brinkmark/ui/words"
)

// ExchangeHelp is what the exchange command is and does.
const ExchangeHelp = `Copies records to and from DIR, a folder on a stick or a shared one: profiles,
trials that are closed, runs that are over or hurt the cable, reviews, and cards
of cables, ducts, rigs, people and routes. Each is known by its id, cards by
their name. Nothing is written over and nothing is deleted: where the two sides
differ both are kept, and it is said where. A trial of another tablet is never
gone on with here. Broken off, it does no harm: run it again. The folder is not
trusted: what is not a record, or damaged, is named and left alone.`

// RecordProgress returns a progress that writes one line over and over, for a terminal.
func RecordProgress(out io.Writer) func(done, total int) {
	const few = 500 // so few take no time
	told := -1
	return func(done, total int) {
		if part := 100 * done / max(1, total); part > told && total > few {
			told = part
			fmt.Fprintf(out, "\rreading records: %d %% of %d", part, total)
		}
		if done == total && told >= 0 {
			fmt.Fprint(out, "\r\x1b[K")
			told = -1
		}
	}
}

// Exchange exchanges the records of a library with a folder, and prints what came in,
// what went out and what differs. Its error is that of a disk; what was printed is done.
func Exchange(l *profiles.Library, other store.Store, progress func(done, total int), out io.Writer) error {
	x, err := l.Exchange(other, progress)
	out, dir := words.Printable(out), words.OneLine(other.Where(""))
	tellExchange(x, l.Where(), dir, out)
	if err == nil && x.Unwritable != nil {
		err = fmt.Errorf("%d not written to %s: %w", len(x.NotOut), dir, x.Unwritable)
	}
	return err
}

// mostNamed is how many of a list are named; the others are counted.
const mostNamed = 20

func tellExchange(x profiles.Exchanged, library, dir string, out io.Writer) {
	in, gone := cardsOf(x, profiles.CardIn), cardsOf(x, profiles.CardOut)
	nameThem(out, fmt.Sprintf("In, from %s:", dir), append(copiedNames(x, x.In), in...))
	nameThem(out, fmt.Sprintf("Out, from %s:", library), append(copiedNames(x, x.Out), gone...))
	nameThem(out, "Brought up to date, on the side that had less:", recordNames(x.Grown))
	for i, d := range x.Differing {
		if i == mostNamed {
			fmt.Fprintf(out, "! and %d more that differ: \"brinkmark review\" lists them\n", len(x.Differing)-i)
			break
		}
		fmt.Fprintf(out, "! DIFFERS  %s. Both are kept, and neither was changed:\n    here   %s\n    there  %s\n    a copy of theirs, to compare: %s\n", recordName(d.Record), d.Mine, d.Its, d.Copy)
	}
	for _, c := range x.Cards {
		if c.Fate == profiles.CardDiffers {
			fmt.Fprintf(out, "! DIFFERS  card of the %s %s. Each side keeps its own:\n", c.Kind, c.Name)
			for _, detail := range c.Details {
				fmt.Fprintf(out, "    %s\n", detail)
			}
			fmt.Fprintf(out, "    here   %s\n    there  %s\n", c.Mine, c.Its)
		}
	}
	nameThem(out, "! Dated later than this tablet's clock: one of the clocks is wrong:", recordNames(x.Ahead))
	nameThem(out, "Not finished, so left where they can be gone on with:", recordNames(x.Open))
	var refused []string
	for _, err := range x.Refused {
		refused = append(refused, strings.ReplaceAll(err.Error(), "\n", "\n  "))
	}
	nameThem(out, "! Left alone:", refused)
	nameThem(out, "! Not written there:", recordNames(x.NotOut))
	fmt.Fprintf(out, "In: %d. Out: %d. Brought up to date: %d. On both sides already: %d. Different: %d. Left alone: %d.\n",
		len(x.In)+len(in), len(x.Out)+len(gone), len(x.Grown), x.Same, len(x.Differing)+len(cardsOf(x, profiles.CardDiffers)), len(x.Refused))
}

func nameThem(out io.Writer, heading string, list []string) {
	if len(list) == 0 {
		return
	}
	fmt.Fprintln(out, heading)
	for _, text := range list[:min(len(list), mostNamed)] {
		fmt.Fprintf(out, "  %s\n", text)
	}
	if more := len(list) - mostNamed; more > 0 {
		fmt.Fprintf(out, "  and %d more\n", more)
	}
}

func cardsOf(x profiles.Exchanged, fate profiles.CardFate) []string {
	var names []string
	for _, c := range x.Cards {
		if c.Fate == fate {
			names = append(names, fmt.Sprintf("card of the %s %s", c.Kind, c.Name))
		}
	}
	return names
}

// recordNames say records by kind and id, in order.
func recordNames(list []string) []string {
	names := make([]string, 0, len(list))
	for _, name := range list {
		names = append(names, recordName(name))
	}
	slices.Sort(names)
	return names
}

// copiedNames are recordNames, and why what is not finished was copied.
func copiedNames(x profiles.Exchanged, list []string) []string {
	names := make([]string, 0, len(list))
	for _, name := range list {
		said := recordName(name)
		if fold, news := x.News[name]; news {
			said += ": not finished, but " + words.YesNo(fold, "a fold", "a marked jacket") + " in it is news: copied"
		}
		names = append(names, said)
	}
	slices.Sort(names)
	return names
}

// recordName says "profiles/2026-05/<id>.toml" as "profile <id>".
func recordName(name string) string {
	kind, rest, _ := strings.Cut(strings.TrimSuffix(name, ".toml"), "/")
	return strings.TrimSuffix(kind, "s") + " " + rest[strings.LastIndex(rest, "/")+1:]
}
