// Package jobs takes recordings in, has them measured and keeps the results.
//
// A recording that is sent in becomes a job. It acquires a seat before its first
// byte is read, waits in a short queue, is measured by one of as many workers as
// there are cores, and its result stays in memory, its bytes in a Store, until an
// hour has passed or the server stops. Where all seats are taken the answer is
// "busy", at once, so that nothing grows with the number of clients.
//
// Intake reads the form that a recording is sent in, Queue has the jobs, Store
// the bytes, over Files: a Folder on the disk, or whatever else the caller gives
// it. Nothing here opens a connection or a file but a Folder. Start with New and
// Intake.Receive.
//
// Not done: no accounts, no lists of other people's clips; whoever has the id of
// a job, 128 random bits, may see it.
//
// Source: RFC 7578 (multipart/form-data).
package jobs
