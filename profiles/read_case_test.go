package profiles

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A key in another case is another key: the TOML reader alone would take one of the two
// lists of pushes, by chance.
func TestKeysKeepTheirCase(t *testing.T) {
	_, err := Parse("x.toml", []byte("format = 1\n[[attempt]]\ngrip = \"4 psi\"\nspeed = \"40 ft/min\"\noutcome = \"stall\"\n[[Attempt]]\ngrip = \"4 psi\"\nspeed = \"40 ft/min\"\noutcome = \"fold\"\n"))
	require.ErrorContains(t, err, "Attempt: this key is not known")
	_, err = Parse("x.toml", []byte("format = 1\n[cable]\nMake = \"Northmoor\"\n"))
	require.ErrorContains(t, err, "cable.Make: this key is not known")
	_, err = ParseReach(Source{Path: "r.toml", Text: []byte("format = 1\n[friction]\ncoefficient = 0.13\nCoefficient = 0.05\n")})
	require.ErrorContains(t, err, "friction.Coefficient: this key is not known")
}
