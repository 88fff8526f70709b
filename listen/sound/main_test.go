//go:build unix && !jack

package sound

import (
	"os"
	"testing"
)

func runTests(m *testing.M) { os.Exit(m.Run()) }
