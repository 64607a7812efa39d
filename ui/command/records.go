package command

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"github.com/spf13/cobra"

	"brinkmark/profiles"
	"brinkmark/profiles/store/folder"
	"brinkmark/ui/ask"
	"brinkmark/ui/show"
	"brinkmark/ui/words"
)

// recordCommands are about the records of the library.
func (a *app) recordCommands() []*cobra.Command {
	return []*cobra.Command{a.cardsCommand(), a.reviewCommand(), a.sheetCommand(), a.exchangeCommand()}
}

func (a *app) cardsCommand() *cobra.Command {
	var template bool
	c := &cobra.Command{
		Use:   "cards FILE | --template",
		Short: "cards from a spreadsheet, or one to fill in",
		Long: `Takes cables, ducts, rigs and people from a spreadsheet onto cards, to pick
from on the job pages. FILE is a CSV file, with commas, semicolons or tabs.
--template prints one to fill in: a line of headings for each kind, one card a
line below it, units in the cell, a decimal point and no comma. Let the
spreadsheet take all cells as text: it makes dates of names such as 5-48.
Every line that is bad is named, and then nothing is written. A card that is
there already gets what it lacks; what it says otherwise is told and left.`,
		Example: "brinkmark cards --template > cards.csv\nbrinkmark cards cards.csv",
		Args: func(c *cobra.Command, args []string) error {
			if template {
				return none(c, args)
			}
			return one("FILE")(c, args)
		},
		ValidArgsFunction: files("csv"),
		RunE: func(_ *cobra.Command, args []string) error {
			if template {
				return show.PrintCardTemplate(a.Out)
			}
			sheet, err := named(args[0])
			if err != nil {
				return fmt.Errorf("no card was written:\n%w", err)
			}
			return a.inLibrary(func(l *profiles.Library) error { return show.ImportCards(l, sheet, a.Out) })
		},
	}
	c.Flags().BoolVar(&template, "template", false, "prints a spreadsheet to fill in")
	return c
}

func (a *app) reviewCommand() *cobra.Command {
	var asked show.ReviewAsked
	var decided show.Judgement
	csv := false
	c := a.plainFlag(a.jsonFlag(&cobra.Command{
		Use:     "review [accept|query|expire|withdraw ID]",
		Short:   "the supervisor's list: what needs a look first",
		Long:    show.ReviewHelp,
		Example: "brinkmark review --csv --crew AB --exceptions\nbrinkmark review query 01K7ZQ4C5V8W9X0Y1Z2A3B4C5D --by QS --note \"why 6 psi?\"",
		Args: func(_ *cobra.Command, args []string) error {
			return show.JudgementArgs(args, &decided)
		},
		ValidArgsFunction: a.judged,
		RunE: func(_ *cobra.Command, args []string) error {
			asked.JSON = a.json
			return a.readingLibrary(func(l *profiles.Library) error {
				switch {
				case len(args) > 0:
					return show.Judge(l, decided, a.Out)
				case a.json, csv, asked.Weeks:
					return show.PrintReview(l, asked, a.recordProgress(), show.ReviewOut{Out: a.Out, Told: a.Err})
				}
				return a.reviewPages(l, asked)
			})
		},
	}))
	f := c.Flags()
	f.BoolVar(&csv, "csv", false, "the list for a spreadsheet")
	f.BoolVar(&asked.Weeks, "weeks", false, "totals by week, crew and rig for a spreadsheet")
	f.StringVar(&asked.Find, "find", "", "`WORDS`: each in key, reel, crew, rig, job or id")
	f.StringVar(&asked.Crew, "crew", "", "`NAME`: a part of operator or watcher")
	f.StringVar(&asked.Rig, "rig", "", "`NAME`: a part of the rig's name")
	f.StringVar(&asked.Job, "job", "", "`TEXT`: a part of job number or site")
	f.StringVar(&asked.State, "state", "", "`STATE`: new, accepted, queried, expired, withdrawn")
	f.BoolVar(&asked.Exceptions, "exceptions", false, "only those with something to look at")
	f.StringVar(&decided.By, "by", "", "`NAME`: who decides")
	f.StringVar(&decided.Note, "note", "", "`TEXT`: what is asked, or why")
	f.StringVar(&decided.On, "on", "", "`DATE`: from which day it expires, 2026-06-30")
	return c
}

// reviewPages opens the supervisor's pages, on screens or line by line. What narrows the
// list on the command line belongs to one that is printed.
func (a *app) reviewPages(l *profiles.Library, asked show.ReviewAsked) error {
	if asked != (show.ReviewAsked{}) {
		return misused("that narrows a printed list: add --json or --csv; on the pages it is found under Find")
	}
	keeper, page, err := ask.ReviewRecords(a.keeper(l), l)
	if err != nil {
		return err
	}
	return a.lead(l, keeper, page, "")
}

// judged completes a decision and the profile it is about.
func (a *app) judged(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return show.JudgementWords(), cobra.ShellCompDirectiveNoFileComp
	}
	return a.profileIDs(c, args[1:], typed)
}

func (a *app) sheetCommand() *cobra.Command {
	var file string // "" in the current folder, "-" to the output
	c := &cobra.Command{
		Use:               "sheet ID",
		Short:             "a profile to hand over, as one page to print",
		Long:              show.SheetHelp,
		Example:           "brinkmark sheet 01K7ZQ4C5V8W9X0Y1Z2A3B4C5D -o mill-lane.html",
		Args:              one("ID"),
		ValidArgsFunction: a.profileIDs,
		RunE: func(_ *cobra.Command, args []string) error {
			return a.readingLibrary(func(l *profiles.Library) error { return a.writeSheet(l, args[0], file) })
		},
	}
	c.Flags().StringVarP(&file, "output", "o", "", "`FILE`: where to; - writes it out here")
	return c
}

// writeSheet writes the hand-over sheet of a profile, and says where.
func (a *app) writeSheet(l *profiles.Library, id, file string) error {
	if file == "-" {
		return show.WriteSheet(l, id, a.recordProgress(), a.Out)
	}
	var page bytes.Buffer
	if err := show.WriteSheet(l, id, a.recordProgress(), &page); err != nil {
		return err
	}
	path := cmp.Or(file, "sheet-"+id+".html")
	err := folder.CreateNamed(path, page.Bytes())
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already, and nothing is written over\n  name another file with -o, or move that one away", words.OneLine(path))
	}
	if err != nil {
		return fmt.Errorf("sheet %w", err)
	}
	if whole, err := filepath.Abs(path); err == nil {
		path = whole
	}
	_, err = fmt.Fprintf(words.Printable(a.Out), "Sheet written: %s\n", words.OneLine(path))
	return err
}

func (a *app) exchangeCommand() *cobra.Command {
	return &cobra.Command{
		Use:               "exchange DIR",
		Short:             "records to and from a stick or shared folder",
		Long:              show.ExchangeHelp,
		Example:           "brinkmark exchange /media/stick/brinkmark",
		Args:              one("DIR"),
		ValidArgsFunction: folders,
		RunE: func(_ *cobra.Command, args []string) error {
			return a.inLibrary(func(l *profiles.Library) error {
				if l.Missing() && !l.Store().State().Usual { // a mistyped one would be made and filled
					return fmt.Errorf("there is no library at %s: nothing was copied\n  see that --library or %s names the right folder; for a new library make that folder first", l.Where(), libraryVariable)
				}
				other, err := folder.OpenOther(l.Store(), args[0])
				if err != nil {
					return err
				}
				defer func() { _ = other.Close() }()
				return show.Exchange(l, other, a.recordProgress(), a.Out)
			})
		},
	}
}

// recordProgress tells on a terminal how many records have been read.
func (a *app) recordProgress() func(done, total int) {
	if !isTerminal(a.cursor) {
		return nil
	}
	return show.RecordProgress(a.cursor)
}
