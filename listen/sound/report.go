package sound

import (
	"bufio"
	"encoding/json"
	"io"
	"time"
)

// News says what a report is about.
type News string

const (
	Sounding  News = "sounding"  // Name is open: Rate, Buffer
	Refused   News = "refused"   // nothing could be opened; Text says why. It is tried again
	NoDevice  News = "no device" // what is open plays to nobody: it takes frames as fast as it can. Not tried again
	LostSound News = "lost"      // the device or its server is gone. It is tried again
	Underrun  News = "underrun"  // the device has run dry Count times in all
	Enlarged  News = "enlarged"  // after too many of these: Buffer is twice what it was
	Missed    News = "missed"    // Count notes in all came too late or found no room
	Garbled   News = "garbled"   // Count bytes in all were no commands: a fault of this program
)

// Report is what the sound process tells the session. Names and texts are from
// outside: they are not to reach a terminal as they are.
type Report struct {
	News   News          `json:"news"`
	Name   string        `json:"name,omitempty"`
	Text   string        `json:"text,omitempty"`
	Rate   int           `json:"rate,omitempty"` // frames a second; 0 for MIDI
	Buffer time.Duration `json:"buffer,omitempty"`
	Count  int64         `json:"count,omitempty"`
}

// reports sends reports, one a line, and never waits: what a session does not
// read is dropped, and the next report of its kind has the whole count.
type reports chan Report

// reportsKept is far more than are sent in a minute of trouble.
const reportsKept = 64

func newReports(pipe io.Writer) reports {
	r := make(reports, reportsKept)
	go func() {
		encoder := json.NewEncoder(pipe)
		for report := range r {
			if encoder.Encode(report) != nil {
				return // the session is gone, which the other pipe tells
			}
		}
	}()
	return r
}

func (r reports) send(report Report) {
	select {
	case r <- report:
	default:
	}
}

// longestReport bounds a line: names of devices are short.
const longestReport = 64 << 10

// readReports hands each report on until the pipe ends.
func readReports(pipe io.Reader, take func(Report)) {
	lines := bufio.NewScanner(pipe)
	lines.Buffer(nil, longestReport)
	for lines.Scan() {
		var r Report
		if json.Unmarshal(lines.Bytes(), &r) == nil {
			take(r)
		}
	}
}
