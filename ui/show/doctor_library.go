package show

import (
	"fmt"
	"strings"

	"brinkmark/profiles"
	"brinkmark/ui/words"
)

// libraryFindings are what a checkup finds in a library.
func libraryFindings(s Surroundings, h profiles.Health) []Finding {
	findings := []Finding{libraryFinding(s, h)}
	if h.Where != "" {
		findings = append(findings, writingFinding(h), spaceFinding(h))
	}
	if h.There && h.Problem == nil {
		findings = append(findings, readingFinding(h))
		findings = append(findings, settingFindings(h)...)
		findings = append(findings, endsFinding(h))
		findings = append(findings, lockFindings(h)...)
	}
	return findings
}

func libraryFinding(s Surroundings, h profiles.Health) Finding {
	where := h.Where + " (" + s.LibraryFrom + ")"
	switch {
	case h.Problem != nil:
		says, do, _ := strings.Cut(h.Problem.Error(), "\n")
		return Finding{"library", Wrong, says, strings.TrimSpace(do)}
	case !h.There:
		return Finding{"library", Fine, "none yet: " + where + " is made with the first record", ""}
	}
	var counts []string
	for _, c := range h.Counts {
		counts = append(counts, fmt.Sprintf("%s: %d", c.Kind, c.N))
	}
	return Finding{"library", Fine, where + ". " + words.Capital(strings.Join(counts, ", ")), ""}
}

func writingFinding(h profiles.Health) Finding {
	may, known := h.Writable.Get()
	switch {
	case !known:
		return Finding{"writing", Look, "not known here before something is saved", "start a trial: what cannot be written is told before a push is made"}
	case !may:
		return Finding{"writing", Wrong, "this user may not write to the library", "check the rights of its folder, or name another with --library"}
	}
	return Finding{"writing", Fine, "this user may write to it", ""}
}

// Free space in bytes. A whole trial takes some twenty thousand; the largest record that
// is read is 16 MiB.
const (
	littleSpace = 100e6
	noSpace     = 20e6
)

func spaceFinding(h profiles.Health) Finding {
	free, known := h.Free.Get()
	says := sizeText(free) + " free"
	switch {
	case !known:
		return Finding{"space", Look, "not known here", "see that the disk is not nearly full"}
	case free < noSpace:
		return Finding{"space", Wrong, says, "free some space: a trial stops where an answer cannot be written"}
	case free < littleSpace:
		return Finding{"space", Look, says, "free some space soon"}
	}
	return Finding{"space", Fine, says, ""}
}

// sizeText is a number of bytes in decimal units. Source: IEC 80000-13, 4.
func sizeText(bytes uint64) string {
	if bytes >= 1e9 {
		return fmt.Sprintf("%.1f GB", float64(bytes)/1e9)
	}
	return fmt.Sprintf("%.1f MB", float64(bytes)/1e6)
}

// mostFindingFiles is how many files a finding names.
const mostFindingFiles = 3

func readingFinding(h profiles.Health) Finding {
	if len(h.Unreadable) == 0 {
		return Finding{"records", Fine, "all can be read", ""}
	}
	var problems []string
	for _, err := range h.Unreadable[:min(len(h.Unreadable), mostFindingFiles)] {
		problem, _, _ := strings.Cut(err.Error(), "\n")
		problems = append(problems, strings.TrimLeft(strings.TrimPrefix(problem, h.Where), `/\`))
	}
	says := fmt.Sprintf("cannot be read: %d. %s", len(h.Unreadable), strings.Join(problems, "; "))
	return Finding{"records", Wrong, says, "put each back from a copy, mend what was written by hand, or move it out of the library; \"brinkmark doctor --json\" names all"}
}

// settingFindings say which profiles hand out nothing, though they can be read.
func settingFindings(h profiles.Health) []Finding {
	var findings []Finding
	if n := len(h.SealsOff); n > 0 {
		findings = append(findings, Finding{"seals", Wrong, fmt.Sprintf("profiles whose seals were taken off, though their trials here are sealed: %d. %s", n, someIDs(h.SealsOff)),
			"they hand out nothing: put each back from a copy or another tablet, or make a new trial"})
	}
	if n := len(h.Nothing); n > 0 {
		state := Wrong
		if h.Settled == n { // supervisors decided so, and nothing is left to do
			state = Look
		}
		findings = append(findings, Finding{"settings", state, fmt.Sprintf("profiles that hand out nothing: %d. %s", n, someIDs(h.Nothing)),
			"\"brinkmark review\" says why of each; what it covered needs a new trial"})
	}
	return findings
}

// someIDs names some ids, and says how many more there are.
func someIDs(ids []string) string {
	said := strings.Join(ids[:min(len(ids), mostFindingFiles)], ", ")
	if more := len(ids) - mostFindingFiles; more > 0 {
		said += fmt.Sprintf(" and %d more: \"brinkmark doctor --json\" names all", more)
	}
	return said
}

func endsFinding(h profiles.Health) Finding {
	says := "no record ends in the middle of an entry"
	if h.SetAside > 0 {
		says += fmt.Sprintf("; ends set aside earlier: %d", h.SetAside)
	}
	if len(h.Torn) == 0 {
		return Finding{"ends", Fine, says, ""}
	}
	var names []string
	for _, t := range h.Torn[:min(len(h.Torn), mostFindingFiles)] {
		names = append(names, fmt.Sprintf("%s, line %d", fileOf(t.Path), t.Line))
	}
	return Finding{"ends", Look, fmt.Sprintf("not fully written: %d. %s", len(h.Torn), strings.Join(names, "; ")),
		"go on with the record: its torn end is set aside in a file, and nothing that was acknowledged is lost"}
}

func lockFindings(h profiles.Health) []Finding {
	if len(h.Held) == 0 {
		return []Finding{{"open", Fine, "no record is open in another window", ""}}
	}
	var findings []Finding
	for _, held := range h.Held[:min(len(h.Held), mostFindingFiles)] {
		says, do, _ := strings.Cut(held.Error(), "\n")
		findings = append(findings, Finding{"open", Look, fileOf(held.Path) + ": " + says, strings.TrimSpace(do)})
	}
	return findings
}

// fileOf is the last part of where something is kept.
func fileOf(where string) string { return where[strings.LastIndexAny(where, `/\`)+1:] }
