package settings

import (
	"encoding/json"
	"path/filepath"

	"github.com/adrg/xdg"
	"github.com/google/renameio/v2/maybe"

	"shedlight/listen/disk"
)

// lagsFile is where measured lags are kept, under the user's state folder.
const lagsFile = "shedlight/lags.json"

// lag is what was measured for an instrument and what it was heard on.
type lag struct {
	Instrument string `json:"instrument"`
	Output     string `json:"output"`
	MS         int    `json:"lag_ms"`
}

// KeepLag keeps what was measured for an instrument and an output, in milliseconds.
func KeepLag(instrument, output string, ms int) error {
	path, err := xdg.StateFile(lagsFile)
	if err != nil {
		return err
	}
	kept := []lag{{Instrument: instrument, Output: output, MS: ms}}
	for _, one := range lags() {
		if one.Instrument != instrument || one.Output != output {
			kept = append(kept, one)
		}
	}
	text, err := json.MarshalIndent(kept, "", "  ")
	if err != nil {
		return err
	}
	return maybe.WriteFile(path, text, 0o600)
}

// Lag returns what was measured for an instrument and an output, in milliseconds;
// 0 where nothing was.
func Lag(instrument, output string) int {
	for _, one := range lags() {
		if one.Instrument == instrument && one.Output == output {
			return one.MS
		}
	}
	return 0
}

// lags reads what is kept. What cannot be read counts as nothing: it can be
// measured again.
func lags() (kept []lag) {
	text, err := disk.Read(filepath.Join(xdg.StateHome, lagsFile), maxFileBytes)
	if err != nil || json.Unmarshal(text, &kept) != nil {
		return nil
	}
	return kept
}
