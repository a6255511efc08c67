package verdict

// replyWords explains words of the trade to somebody who owns a machine and
// does not mend them for a living; said is how a message may have used them.
var replyWords = []struct {
	said  []string
	means string
}{
	{[]string{"four-stroking", "four-strokes", "it must four-stroke", "still four-stroke"}, "Four-stroking is the burble of an engine that skips firings. At full throttle without load it is what you want to hear from a saw; in the cut it should stop."},
	{[]string{"runs clean"}, "Running clean means firing at every turn: a smooth, hard note."},
	{[]string{"without load"}, "Without load: the chain or tool runs free and touches nothing."},
	{[]string{"H screw"}, "The H screw sets the fuel at full throttle and is usually marked H. Open it: more fuel. Close it: less fuel, faster and hotter."},
	{[]string{"L screw"}, "The L screw sets the fuel at idle and when the throttle opens, and is usually marked L."},
	{[]string{" lean", "Lean"}, "Lean: too little fuel for the air. It runs fast and hot, and soon seizes."},
}
