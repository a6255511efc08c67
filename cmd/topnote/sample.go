package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"topnote/internal/clip"
	"topnote/internal/report"
	"topnote/internal/synth"
)

// readmeName is the file with the table of the samples.
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

// writeSamples writes the table of the example passes and then each pass, and prints
// the name of each file once it is written. The table comes first, because
// mayWriteSamples recognises by it a folder that was left incomplete.
func writeSamples(ctx context.Context, out io.Writer, folder string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil { // less the umask
		return saysCannotWrite(folder, withoutPath(err))
	}
	samples := synth.Samples()
	table := synth.SamplesReadme(samples)
	if err := mayWriteSamples(folder, samples, table); err != nil {
		return err
	}
	path := filepath.Join(folder, readmeName)
	if err := writeFile(path, func(w io.Writer) error {
		_, err := io.WriteString(w, table)
		return err
	}); err != nil {
		return err
	}
	fmt.Fprintln(out, report.Printable(path))
	for i, s := range samples {
		if ctx.Err() != nil {
			return saysInterrupted(i, len(samples))
		}
		sound := s.Scene.Render()
		path := filepath.Join(folder, s.Name+".wav")
		if err := clip.WriteWAVFile(path, sound.Samples, sound.Rate); err != nil {
			return saysCannotWrite(path, withoutPath(err))
		}
		fmt.Fprintln(out, report.Printable(path))
	}
	return nil
}

// mayWriteSamples refuses a folder that holds other files under the names of the
// samples. A folder with our table in it holds our own samples.
func mayWriteSamples(folder string, samples []synth.Sample, table string) error {
	opening := strings.Join(strings.SplitAfter(table, "\n\n")[:2], "")
	there, err := os.ReadFile(filepath.Join(folder, readmeName))
	if err == nil && strings.HasPrefix(string(there), opening) {
		return nil
	}
	names := []string{readmeName}
	for _, s := range samples {
		names = append(names, s.Name+".wav")
	}
	for _, name := range names {
		path := filepath.Join(folder, name)
		if _, err := os.Lstat(path); err == nil {
			return refuseOverOthers(path)
		}
	}
	return nil
}
