package main

import (
	"bytes"
	"io"

	"topnote/internal/report"
)

// destination is where results are written: to standard output, to one file, or to
// a folder with a file for each.
type destination struct {
	print      io.Writer
	style      report.TextStyle
	blankLines bool // results are parted by an empty line
	named      bool // each begins with the name of its recording

	file     string   // all results in one file; "" for none
	buffered [][]byte // its content so far
	folder   string   // a file for each; "" for none
	ending   string   // of the files in it
	names    *resultNames

	started bool
}

// put writes the result of one clip.
func (d *destination) put(clip string, form []byte) error {
	if d.folder == "" {
		if d.named {
			form = append([]byte(report.Printable(clip)+":\n"), form...)
		}
		return d.append(form)
	}
	return writeFile(d.names.unused(d.folder, clip, d.ending), writerOf(form))
}

// append prints a result, or buffers it for the one file.
func (d *destination) append(form []byte) error {
	if d.started && d.blankLines {
		form = append([]byte("\n"), form...)
	}
	d.started = true
	if d.file != "" {
		d.buffered = append(d.buffered, form)
		return nil
	}
	if _, err := d.print.Write(form); err != nil {
		return saysCannotPrint(withoutPath(err))
	}
	return nil
}

// table appends the table of all clips; it is printed where the results are files
// in a folder.
func (d *destination) table(outcomes []report.Outcome) error {
	form, err := rendered(func(w io.Writer) error { return report.WriteTable(w, outcomes, d.style) })
	if err != nil {
		return err
	}
	return d.append(form)
}

// close writes the one file, unless it would be empty.
func (d *destination) close() error {
	if d.file == "" || len(d.buffered) == 0 {
		return nil
	}
	return writeFile(d.file, func(w io.Writer) error {
		for _, form := range d.buffered {
			if _, err := w.Write(form); err != nil {
				return err
			}
		}
		return nil
	})
}

// rendered gives the bytes that a function writes.
func rendered(write func(io.Writer) error) ([]byte, error) {
	var b bytes.Buffer
	err := write(&b)
	return b.Bytes(), err
}

// writerOf gives a function that writes b.
func writerOf(b []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(b)
		return err
	}
}
