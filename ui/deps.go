package ui

import (
	_ "github.com/BurntSushi/toml"
	_ "github.com/charmbracelet/bubbles/key"
	_ "github.com/charmbracelet/bubbletea"
	_ "github.com/charmbracelet/lipgloss"
	_ "github.com/creack/pty"
	_ "github.com/gofrs/flock"
	_ "github.com/hinshun/vt10x"
	_ "github.com/oklog/ulid/v2"
	_ "github.com/rogpeppe/go-internal/testscript"
	_ "github.com/stretchr/testify/require"
	_ "gonum.org/v1/gonum/stat/distuv"
)
