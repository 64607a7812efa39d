package show

import (
	"fmt"
	"io"

	"brinkmark/profiles"
	"brinkmark/ui/words"
)

// PrintCardTemplate prints a spreadsheet of cards to fill in.
func PrintCardTemplate(out io.Writer) error {
	_, err := io.WriteString(out, profiles.CardTemplate())
	return err
}

// ImportCards takes the cards of a spreadsheet into a library and prints what became of
// each. Nothing is written when the error names bad lines.
func ImportCards(library *profiles.Library, sheet profiles.Source, out io.Writer) error {
	imports, err := library.ImportCards(sheet)
	out = words.Printable(out)
	count := map[profiles.Fate]int{}
	for _, i := range imports {
		count[i.Fate]++
		switch i.Fate {
		case profiles.Added:
			fmt.Fprintf(out, "added      %s: %s\n", i.Kind, i.Name)
		case profiles.Completed:
			fmt.Fprintf(out, "completed  %s: %s\n", i.Kind, i.Name)
		case profiles.Unchanged:
			fmt.Fprintf(out, "the same   %s: %s\n", i.Kind, i.Name)
		case profiles.Differs:
			fmt.Fprintf(out, "! DIFFERS  %s: %s, line %d. Its card is left as it is:\n", i.Kind, i.Name, i.Line)
		}
		for _, detail := range i.Details {
			fmt.Fprintf(out, "             %s\n", detail)
		}
		if i.Fate == profiles.Differs {
			fmt.Fprintf(out, "           If the file is right, mend the card: %s\n", i.Path)
		}
	}
	if err != nil && len(imports) == 0 {
		return fmt.Errorf("no card was written:\n%w", err)
	}
	fmt.Fprintf(out, "Cards added: %d, completed: %d, the same: %d, different and left: %d.\n",
		count[profiles.Added], count[profiles.Completed], count[profiles.Unchanged], count[profiles.Differs])
	if err != nil {
		return fmt.Errorf("the cards after these were not written: %w", err)
	}
	return nil
}
