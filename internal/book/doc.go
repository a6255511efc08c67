// Package book keeps the record of machines and their passes in one file, and
// says why a tune changed.
//
// The file is an SQLite database. It holds machines (what the user calls them,
// their engine and speeds), passes (the whole report of a recording, with the
// air, the screws and the notes of the day) and every edit of a machine. A pass
// is never changed and never taken out: triggers in the file see to that. To
// correct one, store the same recording once more; the last entry of a
// recording speaks for it and the earlier one stays to be seen.
//
// Start with Create or Open, then Book.AddMachine and Book.AddPass. NewTrend
// sets the passes of a machine in a row, and Why explains the difference of two:
// the air and the screws first, by the law of package air and by what this
// machine has shown of itself, then what is left, held against a short table of
// causes and their signs (causes.go) that a technician can read and correct.
// NextMove says how far H may go next, in steps of 1/8 turn at most, never
// towards a limit that the evidence does not clear.
//
// What is not done: nothing here hears, measures or judges a recording, and no
// cause is proved. A machine whose carburettor sets itself has no screws to
// learn from. There is no built-in speed.
//
// Sources: SQLite's own documentation for write-ahead logging, application_id
// and VACUUM INTO; Bayes' rule with signs taken as independent; the signs are
// common practice, as the comments say.
package book
