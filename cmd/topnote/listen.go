package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"syscall"

	"github.com/spf13/cobra"

	"topnote/internal/clip"
	"topnote/internal/live"
)

// listenJob is a parsed listen command.
type listenJob struct {
	streams
	request
	rate, channels int
	save           string
	book           measureBook
}

// newListen builds "topnote listen".
func newListen(s streams, result *status) *cobra.Command {
	job := listenJob{streams: s, request: newRequest()}
	c := &cobra.Command{
		Use:     "listen SOUND",
		Short:   listenShort,
		Long:    listenLong,
		Example: listenExample,
		RunE: func(c *cobra.Command, args []string) error {
			switch len(args) {
			case 0:
				return refuseNoSound()
			case 1:
			default:
				return refuseArgument(args[1])
			}
			if err := job.book.open(c.Flags(), &job.query); err != nil {
				return err
			}
			defer job.book.close()
			var err error
			*result, err = job.run(c.Context(), args[0], c.Flags().Changed("rate"))
			return err
		},
	}
	f := c.Flags()
	f.SortFlags = false
	job.registerQuery(f)
	f.IntVar(&job.rate, "rate", 0, flagRate)
	f.IntVar(&job.channels, "channels", 1, flagChannels)
	f.StringVar(&job.format, "format", formatText, flagLiveFormat)
	f.StringVar(&job.save, "save", "", flagSave)
	job.book.register(f, false)
	return c
}

// run listens until the sound ends, or somebody wants no more of it.
func (j *listenJob) run(ctx context.Context, name string, raw bool) (status, error) {
	if forms := []string{formatText, formatJSON}; !slices.Contains(forms, j.format) {
		return wrongUsage, refuseFormat(j.format, forms)
	}
	j.clips = []string{name}
	if err := j.checkRequest("listen", []outputFile{{"--save", j.save}}); err != nil {
		return wrongUsage, err
	}
	if l := clip.DefaultLimits(); raw && !(float64(j.rate) >= float64(l.MinRate) && float64(j.rate) <= float64(l.MaxRate)) {
		return wrongUsage, refuseRate(j.rate, l)
	}
	if l := clip.DefaultLimits(); j.channels < 1 || j.channels > l.Channels {
		return wrongUsage, refuseChannels(j.channels, l)
	}
	from, err := j.open(name)
	if err != nil {
		return failed, err
	}
	defer from.Close() // only read from: nothing can be lost
	o := live.Default(j.query.FromEntered())
	o.Name = name
	if raw {
		o.Rate, o.Channels = j.rate, j.channels
	}
	return j.listen(ctx, from, o)
}

// listen passes on what is heard.
func (j *listenJob) listen(ctx context.Context, from io.Reader, o live.Options) (result status, err error) {
	ignoreBrokenPipe()
	screen := newLiveScreen(j, o)
	defer screen.close()
	handler := live.Handler{Reading: screen.reading, Row: func(r live.Row) error {
		result = result.worse(j.book.store(j.err, r.Report.Clip.File, j.book.forBook(r.Report)))
		return screen.row(r)
	}}
	var saved *saveFile
	if j.save != "" {
		if saved, err = createSave(j.save); err != nil {
			return failed, err
		}
		handler.Frames = saved.frames
	}
	err = live.Listen(ctx, from, o, handler)
	if saved != nil {
		err = errors.Join(err, saved.close())
	}
	if errors.Is(err, syscall.EPIPE) || errors.Is(err, io.ErrClosedPipe) {
		return result, nil // whoever read it has seen enough
	}
	if err != nil {
		return failed, j.refused(o.Name, err)
	}
	return result, nil
}

// refused words an error of the sound, which is printed with its name.
func (j *listenJob) refused(name string, err error) error {
	var problem *clip.Problem
	if !errors.As(err, &problem) {
		return err
	}
	fmt.Fprintln(j.err, errorLine(name, err))
	return nil
}

// open opens the sound: standard input, a file or a pipe.
func (j *listenJob) open(name string) (io.ReadCloser, error) {
	if name == standardInput {
		return io.NopCloser(j.in), nil
	}
	info, err := os.Stat(name)
	if err == nil && info.IsDir() {
		return nil, refuseFolderSound(name)
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, saysCannotRead(name, withoutPath(err))
	}
	return f, nil
}
