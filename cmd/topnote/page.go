package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"topnote/internal/report"
	"topnote/internal/web/offline"
)

// newPage builds "topnote page".
func newPage(s streams) *cobra.Command {
	var folder string
	c := &cobra.Command{
		Use:     "page --out FOLDER",
		Short:   pageShort,
		Long:    pageLong,
		Example: pageExample,
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return refuseArgument(args[0])
			}
			if folder == "" {
				return refuseNoFolder()
			}
			return writePage(s.out, folder)
		},
	}
	c.Flags().StringVar(&folder, "out", "", flagPageOut)
	return c
}

// writePage writes the files and prints their names.
func writePage(out io.Writer, folder string) error {
	written, err := offline.WriteFolder(folder)
	switch {
	case errors.Is(err, offline.ErrNotBuilt):
		return saysNoPage()
	case err != nil:
		return saysCannotWrite(folder, withoutPath(err))
	}
	for _, path := range written {
		if _, err := fmt.Fprintln(out, report.Printable(path)); err != nil {
			return saysCannotPrint(err)
		}
	}
	return nil
}
