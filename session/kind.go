package session

// Kind says how much a trial sets out to prove.
type Kind int

// The kinds of trial.
const (
	// Full climbs to a fold or to a limit and then proves the install setting.
	Full Kind = iota + 1
	// Enough climbs to a quarter above the setting the run needs, and no further.
	Enough
	// ShortCheck makes three pushes a tenth above a known setting.
	ShortCheck
)

var kindNames = []string{"", "full", "enough", "short check"}

func (k Kind) String() string                { s, _ := enumText(k, kindNames); return s }
func (k Kind) MarshalText() ([]byte, error)  { s, err := enumText(k, kindNames); return []byte(s), err }
func (k *Kind) UnmarshalText(b []byte) error { return unmarshal(k, b, "kind of trial", kindNames) }

// Outcome is what an attempt ended in.
type Outcome int

// The outcomes. Only a stall is what the crew hopes for.
const (
	// Fold: the cable doubled up or kinked.
	Fold Outcome = iota + 1
	// Stall: the drive gave up and the cable held.
	Stall
	// Slip: the belts ran on over a cable that stood still.
	Slip
	// Void: the push proved nothing, and the reason is recorded.
	Void
)

var outcomeNames = []string{"", "fold", "stall", "slip", "void"}

func (o Outcome) String() string { s, _ := enumText(o, outcomeNames); return s }
func (o Outcome) MarshalText() ([]byte, error) {
	s, err := enumText(o, outcomeNames)
	return []byte(s), err
}
func (o *Outcome) UnmarshalText(b []byte) error {
	return unmarshal(o, b, "outcome", outcomeNames)
}

// Lining is the inner surface of the duct; zero is not said.
type Lining int

// The linings told apart.
const (
	Smooth Lining = iota + 1
	Ribbed
	Lubricated
)

var liningNames = []string{"", "smooth", "ribbed", "lubricated"}

func (l Lining) String() string { s, _ := enumText(l, liningNames); return s }
func (l Lining) MarshalText() ([]byte, error) {
	s, err := enumText(l, liningNames)
	return []byte(s), err
}
func (l *Lining) UnmarshalText(b []byte) error { return unmarshal(l, b, "duct lining", liningNames) }

// Surface is the state of the jacket; zero is not said.
type Surface int

// The surfaces told apart.
const (
	Dry Surface = iota + 1
	Wet
	Dusty
)

var surfaceNames = []string{"", "dry", "wet", "dusty"}

func (s Surface) String() string { n, _ := enumText(s, surfaceNames); return n }
func (s Surface) MarshalText() ([]byte, error) {
	n, err := enumText(s, surfaceNames)
	return []byte(n), err
}
func (s *Surface) UnmarshalText(b []byte) error { return unmarshal(s, b, "surface", surfaceNames) }

func unmarshal[E ~int](e *E, b []byte, what string, names []string) error {
	v, err := parseEnum[E](string(b), what, names)
	if err == nil {
		*e = v
	}
	return err
}
