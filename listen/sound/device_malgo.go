//go:build cgo && !nosound

// The audio device, through malgo (miniaudio): the only file that knows it. It
// has a tag of its own, nosound, beside cgo, because live MIDI needs cgo too:
// who has no use for sound, or a system that miniaudio does not build on, still
// has MIDI.

package sound

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"runtime"
	"time"
	"unsafe"

	"github.com/gen2brain/malgo"
)

const (
	// clientName is what JACK and sound servers call us.
	clientName = "shedlight-sound"
	// usualFrames and usualPeriods make a buffer of 21 ms at 48,000 frames.
	usualFrames  = 512
	usualPeriods = 2
	usualRate    = 48000
	// channels: JACK fails with one (miniaudio's count of its ports).
	channels = 2
)

var errNoSpeaker = errors.New("this machine has no audio device: the session goes on without sound")

// backends are tried in this order. A name of a speaker is looked for in all.
func backends(api string) []malgo.Backend {
	switch {
	case api == "jack":
		return []malgo.Backend{malgo.BackendJack}
	case runtime.GOOS == "linux":
		return []malgo.Backend{malgo.BackendPulseaudio, malgo.BackendAlsa}
	case runtime.GOOS == "darwin":
		return []malgo.Backend{malgo.BackendCoreaudio}
	case runtime.GOOS == "windows":
		return []malgo.Backend{malgo.BackendWasapi}
	}
	return []malgo.Backend{malgo.BackendSndio, malgo.BackendAudio4, malgo.BackendOss}
}

// openerOfDevice opens the device that the options name.
func openerOfDevice(o Options) opener {
	return func(times int) (device, error) {
		var speakers []string
		failed := errNoSpeaker
		for _, backend := range backends(o.API) {
			d, names, err := openOn(backend, o, times)
			if err == nil {
				return d, nil
			}
			speakers = append(speakers, names...)
			if o.API == "jack" {
				failed = errors.New("no JACK server answers: start one, or leave --api jack out")
			}
		}
		if o.Speaker != "" {
			return nil, fmt.Errorf("no audio device called %q could be opened: there are %q", o.Speaker, speakers)
		}
		return nil, failed
	}
}

var errOtherSpeaker = errors.New("another speaker is wanted")

// openOn opens the device on one backend; names are those of its devices.
func openOn(backend malgo.Backend, o Options, times int) (d *speaker, names []string, err error) {
	var pin runtime.Pinner
	defer pin.Unpin()
	name := append([]byte(clientName), 0)
	pin.Pin(&name[0])
	config := malgo.ContextConfig{ThreadPriority: malgo.ThreadPriorityRealtime}
	config.Jack.PClientName = &name[0]
	config.Pulse.PApplicationName = &name[0]
	config.Alsa.UseVerboseDeviceEnumeration = 1 // what a player names in their own configuration too
	ctx, err := malgo.InitContext([]malgo.Backend{backend}, config, nil)
	if err != nil {
		return nil, nil, err
	}
	d = &speaker{context: ctx, name: "the usual output", fixed: backend == malgo.BackendJack}
	defer func() {
		if err != nil {
			d.free()
			d = nil
		}
	}()
	list, err := ctx.Devices(malgo.Playback)
	if err != nil {
		return d, nil, err
	}
	for i := range list {
		names = append(names, list[i].Name())
		if o.Speaker == "" && list[i].IsDefault != 0 || o.Speaker != "" && called(&list[i], o.Speaker) {
			d.name, d.id, d.named = cmp.Or(list[i].Name(), d.name), list[i].ID, o.Speaker != ""
			if d.named {
				break
			}
		}
	}
	if o.Speaker != "" && !d.named {
		return d, names, errOtherSpeaker
	}
	return d, names, d.init(times)
}

// called reports whether a device has a name: its own, or the one that ALSA knows
// it by, with which its identifier begins.
func called(info *malgo.DeviceInfo, name string) bool {
	id, _, _ := bytes.Cut(info.ID[:], []byte{0})
	return info.Name() == name || string(id) == name
}

// speaker is a device.
type speaker struct {
	context *malgo.AllocatedContext
	device  *malgo.Device
	id      malgo.DeviceID
	named   bool
	name    string
	fixed   bool
	frames  int // of a period
	render  func([]float32)
	stopped func()
	mono    []float32
}

// init makes the device; it asks for nothing yet.
func (d *speaker) init(times int) error {
	config := malgo.DefaultDeviceConfig(malgo.Playback)
	config.SampleRate = usualRate
	config.PeriodSizeInFrames = uint32(usualFrames * times)
	config.Periods = usualPeriods
	config.Playback.Format = malgo.FormatF32
	config.Playback.Channels = channels
	config.PerformanceProfile = malgo.LowLatency
	// We fill every frame, keep within full scale, and take any count: a fixed one
	// would be had through one more buffer.
	config.NoPreSilencedOutputBuffer, config.NoClip, config.NoFixedSizedCallback = 1, 1, 1
	config.Pulse.StreamNamePlayback = clientName
	var pin runtime.Pinner
	defer pin.Unpin()
	if d.named {
		id := d.id // alone: what is handed over must lead to no other pointer
		pin.Pin(&id)
		config.Playback.DeviceID = unsafe.Pointer(&id)
	}
	var err error
	d.device, err = malgo.InitDevice(d.context.Context, config, malgo.DeviceCallbacks{Data: d.data, Stop: d.stop})
	d.frames = usualFrames * times
	d.mono = make([]float32, maxPeriod)
	return err
}

// maxPeriod is more than any device asks for at once; what more it asked for would
// be rendered in parts.
const maxPeriod = 8192

// data is the callback.
func (d *speaker) data(out, _ []byte, frames uint32) {
	if d.render == nil || frames == 0 {
		return
	}
	all := unsafe.Slice((*float32)(unsafe.Pointer(unsafe.SliceData(out))), int(frames)*channels)
	for len(all) > 0 {
		n := min(len(all)/channels, maxPeriod)
		mono := d.mono[:n]
		d.render(mono)
		for i, x := range mono {
			all[2*i], all[2*i+1] = x, x
		}
		all = all[n*channels:]
	}
}

func (d *speaker) stop() {
	if d.stopped != nil {
		d.stopped()
	}
}

func (d *speaker) facts() facts {
	rate := int(d.device.SampleRate())
	return facts{
		name: d.name, rate: rate, fixed: d.fixed,
		buffer: time.Duration(d.frames*usualPeriods) * time.Second / time.Duration(rate),
	}
}

func (d *speaker) start(render func([]float32), stopped func()) error {
	d.render, d.stopped = render, stopped
	if err := d.device.Start(); err != nil {
		return fmt.Errorf("the audio device %q does not start", d.name)
	}
	return nil
}

func (d *speaker) close() { d.free() }

func (d *speaker) free() {
	if d.device != nil {
		d.device.Uninit()
	}
	// An error of the context at its end changes nothing any more.
	_ = d.context.Uninit()
	d.context.Free()
}
