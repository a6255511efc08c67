package main

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"topnote/internal/book"
)

// bookJob holds what every book command needs: its streams and the book's path.
type bookJob struct {
	streams
	path string // "": the default
}

// newBook builds "topnote book" and the commands below it.
func newBook(s streams) *cobra.Command {
	job := &bookJob{streams: s}
	c := &cobra.Command{
		Use:     "book",
		Short:   bookShort,
		Long:    bookLong,
		Example: bookExample,
		Args:    noCommand,
		RunE: func(*cobra.Command, []string) error {
			return &usageError{"no book command was given", doBookHelp}
		},
	}
	c.PersistentFlags().StringVar(&job.path, "book", "", flagBook)
	c.AddCommand(newMachine(job), newPasses(job), newShow(job), newTrend(job), newWhy(job), newExport(job), newImport(job), newBackup(job))
	return c
}

// open opens a book that exists.
func (j *bookJob) open() (*book.Book, error) { return j.openWith(book.Open) }

// create opens the book, and creates it if there is none.
func (j *bookJob) create() (*book.Book, error) { return j.openWith(book.Create) }

func (j *bookJob) openWith(open func(string) (*book.Book, error)) (*book.Book, error) {
	path, err := j.place()
	if err != nil {
		return nil, err
	}
	b, err := open(path)
	if err != nil {
		return nil, bookError(err)
	}
	return b, nil
}

// place gives the path of the book.
func (j *bookJob) place() (string, error) {
	if j.path != "" {
		return j.path, nil
	}
	path, err := book.DefaultPath()
	if err != nil {
		return "", bookError(err)
	}
	return path, nil
}

// bookError turns an error of the book into a usage error where it is about what
// was entered, and into a failure where it is about the book itself.
func bookError(err error) error {
	var problem *book.Problem
	if !errors.As(err, &problem) {
		return err
	}
	if problem.Kind == book.ErrEntry { // a bad entry within an export has another kind
		return &usageError{problem.Says, problem.Do}
	}
	return usageError{problem.Says, problem.Do}.failure()
}

// print prints what write writes, or nothing if it returns an error.
func (s streams) print(write func(io.Writer) error) error {
	var text bytes.Buffer
	if err := write(&text); err != nil {
		return err
	}
	if _, err := text.WriteTo(s.out); err != nil {
		return saysCannotPrint(withoutPath(err))
	}
	return nil
}

// columns gives the width for text.
func (s streams) columns() int { return textStyle(s.out).Columns }

// checkFormat refuses a form of the result that the command does not have.
func checkFormat(format string, have ...string) error {
	if !slices.Contains(have, format) {
		return refuseFormat(format, have)
	}
	return nil
}

// newPasses builds "topnote book passes".
func newPasses(job *bookJob) *cobra.Command {
	format := "text"
	c := &cobra.Command{
		Use:   "passes [MACHINE]",
		Short: passesShort,
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return refuseArgument(args[1])
			}
			if err := checkFormat(format, "text", "json"); err != nil {
				return err
			}
			return job.listPasses(strings.Join(args, ""), format)
		},
	}
	c.Flags().StringVar(&format, "format", format, flagTextJSON)
	return c
}

func (j *bookJob) listPasses(machine, format string) error {
	b, err := j.open()
	if err != nil {
		return err
	}
	defer b.Close() // nothing was written
	passes, err := b.Passes(machine)
	if err != nil {
		return bookError(err)
	}
	if format == "json" {
		return j.print(func(w io.Writer) error { return writePassesJSON(w, passes) })
	}
	return j.print(func(w io.Writer) error { return book.WritePasses(w, passes) })
}

func writePassesJSON(w io.Writer, passes []book.Pass) error {
	for _, p := range passes {
		text, err := p.JSON()
		if err != nil {
			return err
		}
		if _, err := w.Write(append(text, '\n')); err != nil {
			return err
		}
	}
	return nil
}

// newShow builds "topnote book show".
func newShow(job *bookJob) *cobra.Command {
	format, full := "text", false
	c := &cobra.Command{
		Use:   "show PASS",
		Short: showShort,
		RunE: func(_ *cobra.Command, args []string) error {
			numbers, err := passNumbers(args, 1)
			if err != nil {
				return err
			}
			if err := checkFormat(format, "text", "json"); err != nil {
				return err
			}
			return job.show(numbers[0], format, full)
		},
	}
	c.Flags().StringVar(&format, "format", format, flagTextJSON)
	c.Flags().BoolVar(&full, "full", false, flagFull)
	return c
}

func (j *bookJob) show(number int64, format string, full bool) error {
	b, err := j.open()
	if err != nil {
		return err
	}
	defer b.Close() // nothing was written
	p, err := b.Pass(number)
	if err != nil {
		return bookError(err)
	}
	if format == "json" {
		return j.print(func(w io.Writer) error { return writePassesJSON(w, []book.Pass{p}) })
	}
	return j.print(func(w io.Writer) error {
		style := textStyle(j.out)
		style.Short = !full
		return p.WriteText(w, style)
	})
}

// passNumbers parses the numbers of passes, at least one and at most so many.
func passNumbers(args []string, most int) ([]int64, error) {
	if len(args) == 0 {
		return nil, refuseNoPass()
	}
	if len(args) > most {
		return nil, refuseArgument(args[most])
	}
	var numbers []int64
	for _, a := range args {
		n, err := strconv.ParseInt(a, 10, 64)
		if err != nil || n < 1 {
			return nil, refusePassNumber(a)
		}
		numbers = append(numbers, n)
	}
	return numbers, nil
}
