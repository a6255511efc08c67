package diagnose

import (
	"fmt"

	"topnote/internal/book"
)

// What to say of passes that cannot be compared.

// refuse gives a problem of what was entered.
func refuse(says, do string) error {
	return &book.Problem{Kind: book.ErrEntry, Says: says, Do: do}
}

func problemSamePass(number int64) error {
	return refuse(fmt.Sprintf("pass %d was named twice", number), "name two passes of one machine")
}

func problemNoPass() error {
	return refuse("this machine has no pass yet", "record two, and then ask what changed")
}

func problemFirstPass(number int64) error {
	return refuse(fmt.Sprintf("pass %d is the first of its machine, so there is none before it", number),
		"record another pass, or name the pass to hold it against")
}

func problemReplaced(number, by int64) error {
	return refuse(fmt.Sprintf("pass %d was entered once more as pass %d", number, by), fmt.Sprintf("name pass %d", by))
}

func problemNotOfMachine(number int64) error {
	return refuse(fmt.Sprintf("pass %d is not one of this machine", number), "name two passes of one machine")
}

func problemFourStroke() error {
	return refuse("it is not known whether a governor holds the speed of this four-stroke engine, so its top speed cannot be explained",
		"say which with topnote book machine edit NAME --governor no or yes, or see topnote book trend for its figures")
}
