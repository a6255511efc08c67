// Package diagnose explains why a machine's tune changed from one pass to
// another, and says how far its H screw may go next.
//
// NewTrend lists the passes of a machine in order of time, with their top speeds
// corrected to standard air. Why compares two passes: the air and the screws come
// first, by the law of package air and by what this machine has shown of itself;
// the residual is then held against a table of causes and their signs
// (causetable.go, signtable.go) that a technician can read and correct. Causes that
// a recording cannot tell apart are ranked as one group (causes.go). NextMove says
// how far H may go next, in steps of 1/8 turn at most, and never towards a limit
// that the evidence does not clear; it goes by the same causes, and a fault comes
// before the screw.
//
// What is not done: no cause is proved, and nothing is read from a recording. Of a
// machine that is governed, or whose carburettor sets itself, the top speed tells
// nothing (traits.go). No speed is built in.
//
// Sources: Bayes' rule with signs taken as independent; the signs themselves are
// common practice, as their comments say.
package diagnose
