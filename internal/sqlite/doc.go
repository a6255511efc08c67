// Package sqlite is the driver "sqlite" of database/sql: SQLite in pure Go where
// there is an operating system, and SQLite's own WebAssembly in a browser, on the
// private files that a browser keeps for a page.
//
// Package book uses the driver through database/sql and need not know which one it
// is. Import this package for its effect; Code says what went wrong.
//
// What is not done: in a browser one connection is open at a time to a file, one
// page at a time has the files, and a query is not given up half way.
//
// Sources: SQLite documentation, "Result and Error Codes", and on its WebAssembly,
// "Persistent Storage Options: OPFS via the SAHPool VFS".
package sqlite

// DriverName is the name that database/sql opens the driver by.
const DriverName = "sqlite"

// Result codes of SQLite. Source: its documentation, "Result and Error Codes".
const (
	Perm     = 3
	Busy     = 5
	Locked   = 6
	NoMem    = 7
	ReadOnly = 8
	IOErr    = 10
	Corrupt  = 11
	Full     = 13
	CantOpen = 14
	Protocol = 15
	Auth     = 23
	NotADB   = 26

	IOErrShortRead = 522 // extended: a file ends too early
)
