package book

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"topnote/internal/engine"
	"topnote/internal/report"
)

// What to say of an export that cannot be taken.

func problemImportRead(err error) error {
	return &Problem{ErrImport, "the export cannot be read: " + systemReason(err), "check that the file is complete and that you may read it", err}
}

// problemImportFile says what is wrong with the file of a book, which goes by a name
// of ours while it is read.
func problemImportFile(err error) error {
	var problem *Problem
	if !errors.As(err, &problem) || !strings.Contains(problem.Says, importName) {
		return err
	}
	says := problem.Says
	for _, part := range strings.Fields(says) {
		if strings.Contains(part, importName) {
			says = strings.ReplaceAll(strings.ReplaceAll(says, "the book "+part, "the book in this file"), part, "this file")
		}
	}
	return &Problem{ErrImport, says, "choose another one; nothing was imported", nil} // its kind is no longer that of an open book
}

func problemImportLong() error {
	return &Problem{ErrImport, fmt.Sprintf("the export is longer than %d MB", maxImport>>20), "import it in parts", nil}
}

func problemImportJSON(err error) error {
	return &Problem{ErrImport, "this is no export of a book: " + wrongJSON(err), "make one with topnote book export; nothing was imported", err}
}

func problemImportMore() error {
	return &Problem{ErrImport, "something follows after the end of the export", "import one export at a time; nothing was imported", nil}
}

func problemImportSchema(schema string) error {
	return &Problem{ErrImport, fmt.Sprintf("this is no export of a book: its schema is %s, not %s", strconv.Quote(shortened(schema)), strconv.Quote(Schema)),
		"make one with topnote book export; nothing was imported", nil}
}

func problemImportNumber() error {
	return &Problem{ErrImport, "its number is not 1 or more", "correct it", nil}
}

func problemSoundPass(pass int64) error {
	return &Problem{ErrImport, fmt.Sprintf("it is of pass %d, which the export does not have", pass), "correct it", nil}
}

func problemSoundOther(pass int64) error {
	return &Problem{ErrImport, fmt.Sprintf("the recording of pass %d is not the one that was exported", pass), "export the book again", nil}
}

func problemImportItem(what string, number int, err error) error {
	says := ""
	var problem *Problem
	switch {
	case errors.As(err, &problem):
		says = problem.Says
	case errors.Is(err, report.ErrSchema):
		says = fmt.Sprintf("its report is not one of schema %q, or holds what no report can", report.Schema)
	default:
		says = "its report: " + wrongJSON(err)
	}
	return &Problem{ErrImport, fmt.Sprintf("%s %d of the export cannot be taken: %s", what, number, says),
		"correct it or leave it out; nothing was imported", err}
}

// wrongJSON puts what the decoder of JSON says into words for people.
func wrongJSON(err error) string {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	var day *time.ParseError
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF):
		return "it breaks off in the middle"
	case errors.Is(err, io.EOF):
		return "it is empty"
	case errors.As(err, &kind) && kind.Field == "":
		return "it is " + anA(kind.Value) + ", not a book"
	case errors.As(err, &kind):
		field := strings.ReplaceAll(kind.Field, ".Machine.", ".") // which is embedded
		return fmt.Sprintf("%s cannot be %s", strconv.Quote(shortened(field)), anA(shortened(kind.Value)))
	case errors.As(err, &syntax):
		return "it is not JSON from its character " + engine.FormatWhole(float64(syntax.Offset)) + " on"
	case errors.As(err, &day):
		return strconv.Quote(shortened(day.Value)) + " is not a date with its time"
	}
	// The decoder has no type for a field that it does not know.
	if _, name, found := strings.Cut(err.Error(), "unknown field "); found {
		return "no export has a field " + shortened(name)
	}
	return "it does not have the form of one"
}

// anA names a kind of JSON value; a number comes with its figures.
func anA(kind string) string {
	switch kind {
	case "array":
		return "a list"
	case "string":
		return "a text"
	case "bool":
		return "true or false"
	case "object":
		return "a group of fields"
	case "number":
		return "a number"
	}
	return "the " + kind // "the number 1e309"
}
