package web

import (
	"topnote/internal/air"
	"topnote/internal/book"
	"topnote/internal/web/jobs"
)

// What the API answers, as a client reads it.

type jobBody struct {
	ID, Name, Machine string
	State             jobs.State
	Position          int
	Progress          float64
	Links             struct{ Self, Report, Audio, Page string }
}

type machineBody struct {
	book.Machine
	Edits []book.Edit
}

type machinesBody struct{ Machines []book.Machine }

type airAnswer struct {
	air.Report
	Advice, Notes, Cautions []string
}
