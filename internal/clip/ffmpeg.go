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

// ffmpegDecoder runs ffmpeg and reads the WAV file of floats that it writes.
//
// ffmpeg is started without a shell and with fixed arguments. It gets one open file
// and the name of the container, so that no list or link inside the file makes it
// open another, and may open files only. It is killed after Limits.DecodeTime.
type ffmpegDecoder struct {
	file   childFile
	ctx    context.Context
	cancel context.CancelFunc
	cmd    *exec.Cmd
	out    io.Closer // its standard output
	log    ffmpegLog
	wav    decoder
	desc   format
	notes  []string
	values int64 // decoded, of all channels
	ended  bool
}

// openFFmpeg starts ffmpeg for the recording; what is its kind, for errors.
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
	d.desc = d.wav.format()
	d.desc.container, d.desc.codec = in.kind.container, d.codec()
	d.desc.frameBytes, d.desc.lossy = 0, true
	d.desc.fullScaleTo = maxMagnitude
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
		out.Close() // a child process of a wrapper may hold the other end
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

// ffmpegArgs are the arguments with which ffmpeg writes the first track of sound as
// a WAV file of floats to standard output. Lines of the log begin with their level.
func ffmpegArgs(demuxer, file string) []string {
	return []string{
		"-hide_banner", "-nostdin", "-nostats", "-loglevel", "level+info", "-max_alloc", ffmpegBlock,
		"-protocol_whitelist", "file", "-f", demuxer, "-vn", "-sn", "-dn", "-i", "file:" + file,
		"-map", "0:a:0", "-map_metadata", "-1", "-c:a", "pcm_f32le", "-f", "wav", "pipe:1",
	}
}

// codec gives ffmpeg's name of the codec, once the log has it.
func (d *ffmpegDecoder) codec() string { return cmp.Or(d.log.codec(), "unknown") }

func (d *ffmpegDecoder) format() format    { return d.desc }
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

// end waits for ffmpeg, whose output ended with err, and gives the error of the
// sound, by the log of ffmpeg.
func (d *ffmpegDecoder) end(err error) error {
	d.ended = true
	d.out.Close() // ffmpeg ends at its next write
	status := d.cmd.Wait()
	d.desc.codec = d.codec()
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
	d.notes = d.log.remarks(status != nil, d.decodedLength())
	return io.EOF
}

// decodedLength gives the length of the decoded sound, to be compared with that in
// the header. A video may be longer than its sound: for containers that may hold
// one it is infinite.
func (d *ffmpegDecoder) decodedLength() engine.Seconds {
	if !slices.Contains([]string{"mp3", "au", "caf", "w64"}, d.desc.container) {
		return engine.Seconds(math.Inf(1))
	}
	return engine.Seconds(float64(d.values) / float64(d.desc.channels) / float64(d.desc.rate))
}

// Close kills ffmpeg if it is running, and removes its temporary file.
func (d *ffmpegDecoder) Close() error {
	d.cancel()
	if d.cmd != nil && !d.ended {
		d.ended = true
		_ = d.cmd.Wait() // the error is that it was killed
	}
	_ = d.file.Close() // only read from
	return nil
}
