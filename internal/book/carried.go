package book

import (
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"time"
)

// Recordings in exports: an export carries those that it has room for, and names those
// that it has not.

// MaxCarried is the most that the recordings of an export have together, bytes: some
// hundred of ten seconds as WAV. An export is read into memory whole, on a phone too. A
// judgement.
const MaxCarried = 100_000_000

// soundJSON is a recording in an export.
type soundJSON struct {
	Pass      int64     `json:"pass"` // its number in the export
	Kept      time.Time `json:"kept"`
	Bytes     int64     `json:"bytes"`
	SHA256    string    `json:"sha256"`
	Recording []byte    `json:"recording"` // base 64; null: the export does not carry it
}

// Carried says which recordings of a book its export has.
type Carried struct {
	Recordings int // that it carries
	LeftOut    int // that it only names: there was no room
}

// Carried says which recordings Export carries now.
func (b *Book) Carried() (Carried, error) {
	var c Carried
	err := b.read(func(tx *sql.Tx) error {
		listed, err := listSounds(tx)
		if err != nil {
			return err
		}
		for _, fits := range fitting(listed, MaxCarried) {
			if fits {
				c.Recordings++
			} else {
				c.LeftOut++
			}
		}
		return nil
	})
	return c, err
}

// fitting says which recordings are carried where all of them together may have so many
// bytes: those of the last passes first.
func fitting(listed []soundJSON, most int64) []bool {
	fits := make([]bool, len(listed))
	for i := len(listed) - 1; i >= 0; i-- {
		if listed[i].Bytes <= most {
			fits[i] = true
			most -= listed[i].Bytes
		}
	}
	return fits
}

// listSounds gives what a book keeps, without the recordings themselves.
func listSounds(tx *sql.Tx) ([]soundJSON, error) {
	rows, err := tx.Query("SELECT pass, kept, sha256, length(recording) FROM sounds ORDER BY pass")
	if err != nil {
		return nil, err
	}
	return collect(rows, func(r rowScanner) (soundJSON, error) {
		var s soundJSON
		var kept string
		err := r.Scan(&s.Pass, &kept, &s.SHA256, &s.Bytes)
		if err == nil {
			s.Kept, err = time.Parse(time.RFC3339, kept)
		}
		return s, err
	})
}

// eachSound calls do with each recording that a book keeps; those that have no room
// within so many bytes come without themselves.
func eachSound(tx *sql.Tx, most int64, do func(soundJSON) error) error {
	listed, err := listSounds(tx)
	if err != nil {
		return err
	}
	fits := fitting(listed, most)
	for i, s := range listed {
		if fits[i] {
			if err := tx.QueryRow("SELECT recording FROM sounds WHERE pass = ?", s.Pass).Scan(&s.Recording); err != nil {
				return err
			}
			if !s.intact() {
				return damaged(kindPass, s.Pass, errDigest)
			}
		}
		if err := do(s); err != nil {
			return err
		}
	}
	return nil
}

// intact reports whether a recording is what it was.
func (s soundJSON) intact() bool {
	return soundDigest(s.Recording) == s.SHA256 && int64(len(s.Recording)) == s.Bytes
}

// soundDigest gives the fingerprint of a recording, as the book keeps it.
func soundDigest(recording []byte) string {
	sum := sha256.Sum256(recording)
	return hex.EncodeToString(sum[:])
}

// check says what is wrong with a recording of an export, whose passes have these numbers.
func (s soundJSON) check(passes map[int64]bool) error {
	switch {
	case !passes[s.Pass]:
		return problemSoundPass(s.Pass)
	case s.Recording == nil:
		return nil
	case len(s.Recording) == 0 || len(s.Recording) > MaxSound:
		return problemSoundSize(len(s.Recording))
	case !s.intact():
		return problemSoundOther(s.Pass)
	}
	return nil
}

// addSounds adds the recordings of an export to the passes that it has brought, or that
// were here already; one that is kept already stays.
func (in *importer) addSounds(sounds []soundJSON) error {
	for _, s := range sounds {
		if s.Recording == nil {
			in.done.LeftOut++
			continue
		}
		added, err := insertSound(in.tx, in.numbers[s.Pass], s)
		if err != nil {
			return err
		}
		if added {
			in.done.Recordings++
		}
	}
	return nil
}

// insertSound keeps a recording and reports false where its pass has one.
func insertSound(tx *sql.Tx, pass int64, s soundJSON) (bool, error) {
	done, err := tx.Exec("INSERT INTO sounds (pass, kept, sha256, recording) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
		pass, s.Kept.Format(time.RFC3339), s.SHA256, s.Recording)
	if err != nil {
		return false, err
	}
	n, err := done.RowsAffected()
	return n > 0, err
}
