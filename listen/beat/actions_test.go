package beat_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"shedlight/listen/beat"
)

// Each awkward moment by itself: what is told, from the moment on.
func TestActions(t *testing.T) {
	type step struct {
		at     time.Duration
		action beat.Action // 0: time passes
	}
	// 120 a minute: a tick is 520.83 us, a bar 2 s, the top at 4 s.
	for name, test := range map[string]struct {
		begin beat.Begin
		form  *beat.Form
		steps []step
		want  string
	}{
		"again in the count-in uses no number": {form: plain(2), steps: []step{{1000 * ms, beat.Again}, {5000 * ms, 0}, {5100 * ms, 0}},
			want: "1920 song -7680 running 1\n"},
		"again in chorus 1 makes chorus 2": {form: plain(2), steps: []step{{5000 * ms, beat.Again}, {9000 * ms, 0}, {9100 * ms, 0}},
			want: "9600 song -7680 running 1\n17280 song 7680 running 1\n"},
		"again in the count-in of chorus 2": {form: plain(2), steps: []step{{5000 * ms, beat.Again}, {6000 * ms, beat.Again}, {20000 * ms, 0}},
			want: "9600 song -7680 running 1\n11520 song -7680 running 1\n19200 song 7680 running 1\n"},
		"again right at the top": {form: plain(2), steps: []step{{4000 * ms, beat.Again}, {9000 * ms, 0}},
			want: "7680 song -7680 running 1\n"},
		"a bar on in the count-in": {form: plain(2), steps: []step{{500 * ms, beat.BarOn}, {9000 * ms, 0}},
			want: "960 song -2880 running 1\n"},
		"a bar on in the second count-in": {form: plain(2), steps: []step{{5000 * ms, beat.Again}, {7500 * ms, beat.BarOn}, {7700 * ms, 0}},
			want: "9600 song -7680 running 1\n14400 song 8640 running 1\n"},
		"a bar on over the end of a chorus": {form: plain(2), steps: []step{{6500 * ms, beat.BarOn}, {6600 * ms, 0}},
			want: "12480 song 8640 running 1\n"},
		"a bar back at the top goes into the count-in": {form: plain(2), steps: []step{{5000 * ms, beat.BarBack}, {9000 * ms, 0}},
			want: "9600 song -1920 running 1\n"},
		"a bar back in chorus 2 after a count-in": {form: plain(2), steps: []step{{5000 * ms, beat.Again}, {10000 * ms, beat.BarBack}, {12000 * ms, 0}},
			want: "9600 song -7680 running 1\n17280 song 7680 running 1\n19200 song -1920 running 1\n21120 song 7680 running 1\n"},
		"a bar back in chorus 2, played through": {form: plain(2), steps: []step{{8500 * ms, beat.BarBack}, {9000 * ms, 0}},
			want: "16320 song 4800 running 1\n"},
		// Beat 3 of the bar of 3/4, and the last of 4/4 becomes the third.
		"a bar on from 4/4 into 3/4": {form: mixed(), steps: []step{{7400 * ms, 0}, {7500 * ms, beat.BarOn}},
			want: "14400 tempo 375000\n14400 song 9600 running 1\n"},
		"stop, and again": {form: plain(2), steps: []step{{5000 * ms, beat.Stop}, {6000 * ms, beat.Again}, {10100 * ms, 0}},
			want: "9600 song 1920 running 0\n11520 song -7680 running 1\n19200 song 7680 running 1\n"},
		"stop twice, a bar on, a bar back": {form: plain(2), steps: []step{{5000 * ms, beat.Stop}, {6000 * ms, beat.Stop}, {7000 * ms, beat.BarOn}, {8000 * ms, beat.BarBack}, {9000 * ms, 0}},
			want: "9600 song 1920 running 0\n"},
		"stop while waiting for a note": {form: plain(2), begin: beat.OnNote, steps: []step{{5000 * ms, beat.Stop}, {6000 * ms, 0}},
			want: ""},
		"counted in while waiting for a note": {form: plain(2), begin: beat.OnNote, steps: []step{{1000 * ms, beat.Again}, {6000 * ms, 0}},
			want: "1920 song -7680 running 1\n"},
	} {
		t.Run(name, func(t *testing.T) {
			p := newClock(t, beat.Setup{Form: test.form, Quarter: 500_000, CountIn: 2, Begin: test.begin})
			p.pass(0)
			opening := len(p.heard)
			for _, s := range test.steps {
				p.now = s.at
				if s.action == 0 {
					p.pass(0)
				} else {
					p.do(s.action)
				}
			}
			p.pass(10 * ms)
			assert.Equal(t, test.want, told(p.heard[opening:]))
			p.agrees()
		})
	}
}
