package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"topnote/internal/clip"
	"topnote/internal/report"
	"topnote/internal/synth"
)

// readmeName is the file that the table of the samples is written to.
const readmeName = "README.md"

// newSample builds "topnote sample".
func newSample(s streams) *cobra.Command {
	var folder string
	c := &cobra.Command{
		Use:   "sample --out FOLDER",
		Short: sampleShort,
		Long:  sampleLong,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return refuseArgument(args[0])
			}
			if folder == "" {
				return refuseNoFolder()
			}
			return writeSamples(c.Context(), s.out, folder)
		},
	}
	c.Flags().StringVar(&folder, "out", "", flagSampleOut)
	return c
}

// writeSamples writes each example pass and their table, and names each file
// as soon as it is there.
func writeSamples(ctx context.Context, out io.Writer, folder string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil { // the system takes away what the user does not give
		return saysCannotWrite(folder, cause(err))
	}
	samples := synth.Samples()
	for i, s := range samples {
		if ctx.Err() != nil {
			return saysInterrupted(i, len(samples))
		}
		sound := s.Scene.Render()
		path := filepath.Join(folder, s.Name+".wav")
		if err := clip.WriteWAVFile(path, sound.Samples, sound.Rate); err != nil {
			return saysCannotWrite(path, cause(err))
		}
		fmt.Fprintln(out, report.Printable(path))
	}
	path := filepath.Join(folder, readmeName)
	if err := writeFile(path, func(w io.Writer) error {
		_, err := io.WriteString(w, synth.SamplesReadme(samples))
		return err
	}); err != nil {
		return err
	}
	fmt.Fprintln(out, report.Printable(path))
	return nil
}
