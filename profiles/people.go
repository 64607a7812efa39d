package profiles

import (
	"slices"
	"strings"
)

// Person is one of the crew, by the name or initials the records carry.
type Person struct {
	Name  string `toml:"name,omitempty"`
	Roles []Role `toml:"roles,omitempty"`
}

// Role is what someone does in a trial.
type Role string

// The roles told apart.
const (
	Operator   Role = "operator"
	Watcher    Role = "watcher"
	Trainee    Role = "trainee"
	Supervisor Role = "supervisor"
)

var roles = []Role{Operator, Watcher, Trainee, Supervisor}

// UnmarshalText reads a role as it stands in a card.
func (r *Role) UnmarshalText(text []byte) (err error) {
	*r, err = oneOf(text, "role", roles)
	return err
}

// Has reports whether a person has a role.
func (p Person) Has(r Role) bool { return slices.Contains(p.Roles, r) }

func (Person) table() string    { return "person" }
func (Person) folder() string   { return "people" }
func (p Person) name() []string { return []string{p.Name} }
func (p Person) file() cardFile { return cardFile{Format: Format, Person: p} }
func (Person) of(f cardFile) card {
	// "roles = []" says no more than no line does, and must compare as the same card.
	if len(f.Person.Roles) == 0 {
		f.Person.Roles = nil
	}
	return f.Person
}
func (p Person) named() error {
	if blank(p.Name) {
		return missing("person.name")
	}
	return nil
}

// with returns a person with the roles of the older card too.
func (p Person) with(old Person) Person {
	roles := slices.Clone(p.Roles)
	for _, r := range old.Roles {
		if !p.Has(r) {
			roles = append(roles, r)
		}
	}
	p.Roles = roles
	return p
}

// persons are the people of a job, each with what they did in it.
func (p People) persons() []Person {
	operator, watcher := strings.TrimSpace(p.Operator), strings.TrimSpace(p.Watcher)
	if SameName(operator, watcher) {
		return []Person{{operator, []Role{Operator, Watcher}}}
	}
	return []Person{{operator, []Role{Operator}}, {watcher, []Role{Watcher}}}
}
