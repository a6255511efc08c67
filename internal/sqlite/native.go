//go:build !js

package sqlite

import (
	"errors"

	"modernc.org/sqlite" // the driver "sqlite"
)

// Code gives the extended result code of SQLite, and whether the error is SQLite's.
func Code(err error) (code int, ok bool) {
	var known *sqlite.Error
	if !errors.As(err, &known) {
		return 0, false
	}
	return known.Code(), true
}
