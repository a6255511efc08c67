// Package diagnose explains why a machine's tune changed from one pass to
// another, and says how far its H screw may go next.
//
// NewTrend lists the passes of a machine in order of time, with their top speeds
// corrected to standard air. Why compares two passes: the air and the screws come
// first, by the law of package air and by what this machine has shown of itself;
// the residual is then held against a short table of causes and their signs
// (causes.go) that a technician can read and correct. NextMove says how far H may
// go next, in steps of 1/8 turn at most, and never towards a limit that the
// evidence does not clear.
//
// What is not done: no cause is proved, and nothing is read from a recording. A
// machine whose carburettor sets itself has no screws to learn from. No speed is
// built in.
//
// Sources: Bayes' rule with signs taken as independent; the signs themselves are
// common practice, as their comments say.
package diagnose
