// Package book stores machines and their passes in one file.
//
// The file is an SQLite database. It holds machines (what the user calls them,
// their engine and speeds), passes (the whole report of a recording, with the
// air, the screws and the notes of the day) and every edit of a machine. A pass
// is never changed and never deleted: triggers in the file prevent it. To correct
// one, store the same recording again; the last entry of a recording counts, and
// the earlier one stays visible.
//
// Start with Create or Open, then Book.AddMachine and Book.AddPass. Export and
// ReadExport carry a whole book as JSON, Backup copies the file.
//
// What is not done: nothing here measures, judges or explains. Package diagnose
// compares the passes.
//
// Sources: SQLite documentation, on write-ahead logging, application_id and VACUUM
// INTO.
package book
