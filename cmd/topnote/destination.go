package main

import (
	"bytes"
	"io"

	"topnote/internal/report"
)

// destination is where results go: printed, into one file, or into a folder
// with a file for each.
type destination struct {
	print  io.Writer
	style  report.TextStyle
	parted bool // results are parted by an empty line

	file   string   // all results in one file; "" for none
	kept   [][]byte // what will stand in it
	folder string   // a file for each; "" for none
	ending string   // of the files in it
	names  *names

	begun bool
}

// put gives out the result of one clip.
func (d *destination) put(clip string, form []byte) error {
	if d.folder == "" {
		return d.emit(form)
	}
	return writeFile(d.names.free(d.folder, clip, d.ending), bytesOf(form))
}

// emit prints, or keeps for the one file.
func (d *destination) emit(form []byte) error {
	if d.begun && d.parted {
		form = append([]byte("\n"), form...)
	}
	d.begun = true
	if d.file != "" {
		d.kept = append(d.kept, form)
		return nil
	}
	if _, err := d.print.Write(form); err != nil {
		return saysCannotPrint(cause(err))
	}
	return nil
}

// table gives out the table of all clips: with what is printed or kept, and on
// the screen where the results are files in a folder.
func (d *destination) table(outcomes []report.Outcome) error {
	form, err := written(func(w io.Writer) error { return report.WriteTable(w, outcomes, d.style) })
	if err != nil {
		return err
	}
	return d.emit(form)
}

// close writes the one file, if there is something to write.
func (d *destination) close() error {
	if d.file == "" || len(d.kept) == 0 {
		return nil
	}
	return writeFile(d.file, func(w io.Writer) error {
		for _, form := range d.kept {
			if _, err := w.Write(form); err != nil {
				return err
			}
		}
		return nil
	})
}

// written gives what a function writes.
func written(write func(io.Writer) error) ([]byte, error) {
	var b bytes.Buffer
	err := write(&b)
	return b.Bytes(), err
}

// bytesOf writes what is there already.
func bytesOf(b []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(b)
		return err
	}
}
