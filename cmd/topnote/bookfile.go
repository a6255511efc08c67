package main

import (
	"bufio"
	"io"
	"os"

	"github.com/spf13/cobra"

	"topnote/internal/book"
)

// newExport builds "topnote book export".
func newExport(job *bookJob) *cobra.Command {
	var out string
	c := &cobra.Command{
		Use:   "export",
		Short: exportShort,
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return refuseArgument(args[0])
			}
			return job.export(out)
		},
	}
	c.Flags().StringVar(&out, "out", "", flagOutExport)
	return c
}

func (j *bookJob) export(out string) error {
	b, err := j.open()
	if err != nil {
		return err
	}
	defer b.Close() // nothing was written
	if out != "" {
		if sameFile(out, b.Path()) {
			return refuseSameFile("--out", out)
		}
		if err := writeFile(out, b.Export); err != nil {
			return err
		}
		return j.sayCarried(b)
	}
	w := bufio.NewWriter(j.out)
	if err := b.Export(w); err != nil {
		return bookError(err)
	}
	if err := w.Flush(); err != nil {
		return saysCannotPrint(withoutPath(err))
	}
	return j.sayCarried(b)
}

// sayCarried says which recordings an export has; nothing where the book keeps none.
func (j *bookJob) sayCarried(b *book.Book) error {
	c, err := b.Carried()
	if err != nil {
		return bookError(err)
	}
	saysCarried(j.err, c)
	return nil
}

// newImport builds "topnote book import".
func newImport(job *bookJob) *cobra.Command {
	var again bool
	c := &cobra.Command{
		Use:   "import FILE",
		Short: importShort,
		RunE: func(_ *cobra.Command, args []string) error {
			switch len(args) {
			case 0:
				return refuseNoExport()
			case 1:
				return job.importFrom(args[0], again)
			}
			return refuseArgument(args[1])
		},
	}
	c.Flags().BoolVar(&again, "again", false, flagAgain)
	return c
}

func (j *bookJob) importFrom(path string, again bool) error {
	from := j.in
	if path != standardInput {
		f, err := os.Open(path)
		if err != nil {
			return saysCannotRead(path, withoutPath(err))
		}
		defer f.Close() // nothing was written
		from = f
	}
	export, err := book.ReadExport(from)
	if err != nil {
		return bookError(err) // before a book is made for it
	}
	b, err := j.create()
	if err != nil {
		return err
	}
	done, err := b.Import(export, again)
	if err != nil {
		b.Close() // the first error counts
		return bookError(err)
	}
	if err := b.Close(); err != nil {
		return bookError(err)
	}
	return j.print(func(w io.Writer) error { return saysImported(w, done) })
}

// newBackup builds "topnote book backup".
func newBackup(job *bookJob) *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: backupShort,
		RunE: func(_ *cobra.Command, args []string) error {
			switch len(args) {
			case 0:
				return refuseNoBackup()
			case 1:
				return job.backup(args[0])
			}
			return refuseArgument(args[1])
		},
	}
}

func (j *bookJob) backup(path string) error {
	b, err := j.open()
	if err != nil {
		return err
	}
	defer b.Close() // nothing was written
	if err := b.Backup(path); err != nil {
		return bookError(err)
	}
	return j.print(func(w io.Writer) error { return saysBackedUp(w, path) })
}
