package clip

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"slices"
	"strings"
	"time"

	"topnote/internal/engine"
)

// ffmpegBlock is the most that ffmpeg may allocate at a time, bytes, as text. A
// recording of the longest that is read needs a few megabytes.
const ffmpegBlock = "268435456"

// ffmpegDecoder has ffmpeg decode, and reads the WAV of floats that it writes.
//
// ffmpeg is started without a shell and with fixed arguments. It gets one open
// file and is told the container, so that no list or link inside can lead it to
// another; it may open files only. It lives no longer than Limits.DecodeTime.
type ffmpegDecoder struct {
	file   lent
	ctx    context.Context
	cancel context.CancelFunc
	cmd    *exec.Cmd
	out    io.Closer // its standard output
	log    ffmpegLog
	wav    decoder
	is     format
	notes  []string
	values int64 // decoded, of all channels
	ended  bool
}

// openFFmpeg has ffmpeg decode the recording, which is what.
func openFFmpeg(in *input, what string) (decoder, error) {
	program, err := in.ffmpeg()
	if err != nil {
		return nil, sayNoFFmpeg(what, err)
	}
	file, err := in.handToChild(what)
	if err != nil {
		return nil, err
	}
	d := &ffmpegDecoder{file: file}
	d.ctx, d.cancel = context.WithTimeout(in.src.ctx, in.o.Limits.DecodeTime)
	if err := d.start(program, in.kind.demuxer, in.o.Limits); err != nil {
		d.Close() // always nil
		return nil, err
	}
	d.is = d.wav.format()
	d.is.container, d.is.codec = in.kind.container, d.codec()
	d.is.frameBytes, d.is.lossy = 0, true
	d.is.railTo = maxMagnitude
	return d, nil
}

// start runs the program and reads as far as the first sample.
func (d *ffmpegDecoder) start(program, demuxer string, l Limits) error {
	cmd := exec.CommandContext(d.ctx, program)
	cmd.Args = append(cmd.Args, ffmpegArgs(demuxer, handOver(cmd, d.file.File))...)
	cmd.Env = slices.DeleteFunc(os.Environ(), func(v string) bool {
		return strings.HasPrefix(v, "FFREPORT=") || strings.HasPrefix(v, "AV_LOG_FORCE")
	})
	cmd.Stderr = &d.log
	out, err := cmd.StdoutPipe()
	if err != nil {
		return sayFFmpegBroken(err)
	}
	cmd.Cancel = func() error {
		out.Close() // a child of a wrapper may hold the other end
		return cmd.Process.Kill()
	}
	cmd.WaitDelay = time.Second
	if err := cmd.Start(); err != nil {
		return sayFFmpegBroken(err)
	}
	d.cmd, d.out = cmd, out
	d.wav, err = readWAV(bufio.NewReaderSize(out, readAhead), l)
	var p *Problem
	if errors.As(err, &p) && (p.Code == CodeRate || p.Code == CodeChannels) {
		return p
	}
	if err != nil {
		return d.end(err)
	}
	return nil
}

// ffmpegArgs makes the first track of sound into a WAV of floats on standard
// output. Lines of the log begin with their level.
func ffmpegArgs(demuxer, file string) []string {
	return []string{
		"-hide_banner", "-nostdin", "-nostats", "-loglevel", "level+info", "-max_alloc", ffmpegBlock,
		"-protocol_whitelist", "file", "-f", demuxer, "-vn", "-sn", "-dn", "-i", "file:" + file,
		"-map", "0:a:0", "-map_metadata", "-1", "-c:a", "pcm_f32le", "-f", "wav", "pipe:1",
	}
}

// codec gives ffmpeg's name of the codec, as soon as it has said it.
func (d *ffmpegDecoder) codec() string { return cmp.Or(d.log.codec(), "unknown") }

func (d *ffmpegDecoder) format() format    { return d.is }
func (d *ffmpegDecoder) remarks() []string { return d.notes }

func (d *ffmpegDecoder) decode(dst []float32) (int, error) {
	if d.ended {
		return 0, io.EOF
	}
	n, err := d.wav.decode(dst)
	if n > 0 {
		d.values += int64(n)
		return n, nil
	}
	return 0, d.end(err)
}

// end waits for ffmpeg, whose output ended with err, and judges by its log.
func (d *ffmpegDecoder) end(err error) error {
	d.ended = true
	d.out.Close() // what follows the sound is not waited for
	status := d.cmd.Wait()
	d.is.codec = d.codec()
	switch {
	case d.log.fault() != nil:
		return d.log.fault()
	case errors.Is(d.ctx.Err(), context.DeadlineExceeded):
		return sayTooSlow()
	case d.ctx.Err() != nil:
		return d.ctx.Err()
	case d.wav == nil:
		return d.log.problem(errors.Join(err, status))
	}
	d.notes = d.log.remarks(status != nil, d.heard())
	return io.EOF
}

// heard gives how long the decoded sound is, for containers of sound alone that
// say how long it ought to be; a video may be longer than its sound. For others it
// is more than any claim.
func (d *ffmpegDecoder) heard() engine.Seconds {
	if !slices.Contains([]string{"mp3", "au", "caf", "w64"}, d.is.container) {
		return engine.Seconds(math.Inf(1))
	}
	return engine.Seconds(float64(d.values) / float64(d.is.channels) / float64(d.is.rate))
}

// Close ends ffmpeg if it still runs, and removes what was made for it.
func (d *ffmpegDecoder) Close() error {
	d.cancel()
	if d.cmd != nil && !d.ended {
		d.ended = true
		_ = d.cmd.Wait() // it was killed: that is all it can say
	}
	_ = d.file.Close() // only read from
	return nil
}
