package measure

import (
	"fmt"

	"topnote/internal/entry"
	"topnote/internal/report"
)

// Every sentence of this package that a user can read is in this file.

func refusePasses(n int) *entry.Refusal {
	return &entry.Refusal{
		Says: fmt.Sprintf("%d passes cannot be compared", n),
		Do:   fmt.Sprintf("name 2 to %d recordings", report.MaxPasses),
	}
}
