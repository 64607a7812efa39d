package whole

import (
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/require"
)

// BenchmarkFirstFrame measures the time from start to the first frame on a terminal
// that answers nothing, interleaved with the smallest bubbletea program.
func BenchmarkFirstFrame(b *testing.B) {
	dir := b.TempDir()
	ours, bare := filepath.Join(dir, "brinkmark"), filepath.Join(dir, "bare")
	for binary, source := range map[string]string{ours: ".", bare: "./testdata/bare"} {
		out, err := exec.Command("go", "build", "-o", binary, source).CombinedOutput()
		require.NoError(b, err, string(out))
	}
	var mine, theirs []float64
	for b.Loop() {
		theirs = append(theirs, firstFrame(b, bare, dir))
		mine = append(mine, firstFrame(b, ours, dir))
	}
	slices.Sort(mine)
	slices.Sort(theirs)
	b.ReportMetric(mine[len(mine)/2], "ms/ours")
	b.ReportMetric(theirs[len(theirs)/2], "ms/bare")
	b.ReportMetric(mine[len(mine)/2]/theirs[len(theirs)/2], "ratio")
}

func firstFrame(b *testing.B, binary, library string) float64 {
	cmd := exec.Command(binary)
	cmd.Env = environment(filepath.Join(library, "library"))
	start := time.Now()
	f, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
	require.NoError(b, err)
	var seen strings.Builder
	buf := make([]byte, 4096)
	for !strings.Contains(seen.String(), "What now?") {
		n, err := f.Read(buf)
		require.NoError(b, err)
		seen.Write(buf[:n])
	}
	took := time.Since(start)
	_ = cmd.Process.Kill()
	_ = cmd.Wait()
	_ = f.Close()
	return float64(took.Microseconds()) / 1000
}
