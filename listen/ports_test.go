package listen

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/listen/internal/driver"
)

// The forms of the names: RtMidi 6.0.0 appends the address on ALSA and the
// place in the list on Windows; JACK names are client:port (read in its source).
func TestChoose(t *testing.T) {
	for name, test := range map[string]struct {
		api    string
		wanted string
		names  []string
		want   string
		reason PortReason
	}{
		"exactly":                       {driver.ALSA, "Keys:Keys MIDI 1 20:0", []string{"Midi Through:Midi Through Port-0 14:0", "Keys:Keys MIDI 1 20:0"}, "Keys:Keys MIDI 1 20:0", 0},
		"without the address":           {driver.ALSA, "Keys:Keys MIDI 1", []string{"Keys:Keys MIDI 1 20:0", "Keys:Keys MIDI 2 20:1"}, "Keys:Keys MIDI 1 20:0", 0},
		"with yesterday's address":      {driver.ALSA, "Keys:Keys MIDI 1 20:0", []string{"Wind:Wind 20:0", "Keys:Keys MIDI 1 24:0"}, "Keys:Keys MIDI 1 24:0", 0},
		"exact before lasting":          {driver.ALSA, "Keys:Keys 24:0", []string{"Keys:Keys 20:0", "Keys:Keys 24:0"}, "Keys:Keys 24:0", 0},
		"Port 1 is not Port 10":         {driver.ALSA, "Port 1", []string{"Port 10", "Port 10 20:0", "Port 11"}, "", NoSuchPort},
		"Port 1 beside Port 10":         {driver.ALSA, "Port 1", []string{"Port 10 20:1", "Port 1 20:0"}, "Port 1 20:0", 0},
		"a number of its own stays":     {driver.Core, "Keys 1", []string{"Keys 2"}, "", NoSuchPort},
		"a part":                        {driver.ALSA, "Keys", []string{"Keys:Keys MIDI 1 20:0"}, "Keys:Keys MIDI 1 20:0", 0},
		"a part in any case":            {driver.JACK, "wINd", []string{"Keys:out", "Wind:out"}, "Wind:out", 0},
		"a part of two":                 {driver.JACK, "out", []string{"Keys:out", "Wind:out", "Drums:midi"}, "", SeveralFit},
		"a part that cuts no number":    {driver.Core, "port 1", []string{"Port 12", "Port 1 and 2"}, "Port 1 and 2", 0},
		"a number cut at its start":     {driver.Core, "2 keys", []string{"12 keys"}, "", NoSuchPort},
		"a part behind a cut number":    {driver.Core, "1", []string{"Keys 11, 1"}, "Keys 11, 1", 0},
		"a digit behind a letter":       {driver.Core, "s1", []string{"Keys1"}, "Keys1", 0},
		"in any case":                   {driver.JACK, "keys:OUT", []string{"Keys:out", "Keys:out 2"}, "Keys:out", 0},
		"in any case, lasting":          {driver.ALSA, "keys:keys midi 1 20:0", []string{"Keys:Keys MIDI 1 24:0", "Keys:Keys MIDI 12 20:0"}, "Keys:Keys MIDI 1 24:0", 0},
		"the same case first":           {driver.JACK, "KEYS:out", []string{"Keys:out", "KEYS:out"}, "KEYS:out", 0},
		"a number of the list":          {driver.JACK, "2", []string{"Keys:out", "Wind:out"}, "Wind:out", 0},
		"a number past the list":        {driver.JACK, "3", []string{"Keys:out", "Wind:out"}, "", NoSuchPort},
		"number 0":                      {driver.JACK, "0", []string{"Keys:out"}, "", NoSuchPort},
		"a name before a number":        {driver.Core, "2", []string{"2", "Wind"}, "2", 0},
		"a number before a part":        {driver.Core, "1", []string{"Keys", "Port 1"}, "Keys", 0},
		"as it is shown":                {driver.JACK, "K?ys:out", []string{"Keys:out", "K\xffys:out"}, "K\xffys:out", 0},
		"as it is, no UTF-8":            {driver.JACK, "K\xffys:out", []string{"K\xfeys:out", "K\xffys:out"}, "K\xffys:out", 0},
		"as JSON has it":                {driver.JACK, "K\ufffd\ufffdys:out", []string{"K\ufffdys:out", "K\xff\xfeys:out"}, "K\xff\xfeys:out", 0},
		"two that are shown alike":      {driver.JACK, "K?ys:out", []string{"K\xfeys:out", "K\xffys:out"}, "", SeveralFit},
		"a shown part":                  {driver.ALSA, "k?ys", []string{"K\xffys 20:0", "Wind 24:0"}, "K\xffys 20:0", 0},
		"lasting as it is shown":        {driver.ALSA, "K?ys 20:0", []string{"K\xffys 24:0"}, "K\xffys 24:0", 0},
		"two of a kind":                 {driver.ALSA, "Keys:Keys MIDI 1", []string{"Keys:Keys MIDI 1 20:0", "Keys:Keys MIDI 1 24:0"}, "", SeveralFit},
		"two with the same name":        {driver.Core, "Keys", []string{"Keys", "Keys"}, "", SeveralFit},
		"JACK client reopened":          {driver.JACK, "Keys:out", []string{"system:midi_capture_1", "Keys-01:out"}, "Keys-01:out", 0},
		"bridged to JACK":               {driver.JACK, "a2j:Keys [20] (capture): Keys MIDI 1", []string{"a2j:Keys [24] (capture): Keys MIDI 1"}, "a2j:Keys [24] (capture): Keys MIDI 1", 0},
		"JACK port numbers stay":        {driver.JACK, "system:midi_capture_1", []string{"system:midi_capture_10", "system:midi_capture_2"}, "", NoSuchPort},
		"another socket on Windows":     {driver.WinMM, "Keys 0", []string{"Wind 0", "2- Keys 1"}, "2- Keys 1", 0},
		"nothing wanted, one":           {driver.ALSA, "", []string{"Midi Through:Midi Through Port-0 14:0", "Keys:Keys 20:0"}, "Keys:Keys 20:0", 0},
		"nothing wanted, only the loop": {driver.ALSA, "", []string{"Midi Through:Midi Through Port-0 14:0"}, "", NoInstrument},
		"nothing wanted, ourselves":     {driver.JACK, "", []string{"shedlight-01:out", "Keys Monitor:out"}, "", NoInstrument},
		"nothing wanted, nothing there": {driver.ALSA, "", nil, "", NoInstrument},
		"nothing wanted, two":           {driver.ALSA, "", []string{"Keys:Keys 20:0", "Wind:Wind 24:0"}, "", ManyInstrument},
		"the loop if it is wanted":      {driver.ALSA, "Midi Through:Midi Through Port-0", []string{"Midi Through:Midi Through Port-0 14:0"}, "Midi Through:Midi Through Port-0 14:0", 0},
	} {
		t.Run(name, func(t *testing.T) {
			shown := make([]string, len(test.names))
			for i, name := range test.names {
				shown[i] = strings.ToValidUTF8(name, "?")
			}
			i, err := choose(test.api, test.wanted, test.names, shown)
			if test.reason == 0 {
				if assert.NoError(t, err) {
					assert.Equal(t, test.want, test.names[i])
				}
				return
			}
			var refused *PortError
			if assert.ErrorAs(t, err, &refused) {
				assert.Equal(t, test.reason, refused.Reason)
				assert.Subset(t, shown, refused.Candidates)
			}
		})
	}
}

func TestPortErrorsAreOneHarmlessLine(t *testing.T) {
	hostile := "Keys\x1b]0;owned\a\n\u202e"
	for _, reason := range []PortReason{NoSuchPort, SeveralFit, NoInstrument, ManyInstrument} {
		text := (&PortError{Wanted: hostile, Candidates: []string{hostile, "\xff"}, Reason: reason}).Error()
		for _, r := range text {
			assert.False(t, r < ' ' || r == 0x7f || r == '\u202e', "%q", text)
		}
	}
	assert.EqualError(t, &PortError{Candidates: []string{"Keys", "Wind"}, Reason: ManyInstrument},
		`several instruments are connected; there is "Keys", "Wind"; choose one with --in`)
	assert.EqualError(t, &PortError{Reason: NoInstrument},
		"no instrument is connected; there is no MIDI input at all; connect one, or choose one with --in")
}
