package book

import (
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"time"
)

// MaxSound is the largest recording that a book keeps, bytes: minutes of WAV, hours of
// what phones record. A judgement.
const MaxSound = 32_000_000

// Sound says that the book keeps the recording of a pass. Unlike the pass, it can be
// taken out again. Exports carry it where they have room: see MaxCarried.
type Sound struct {
	Pass  int64
	Kept  time.Time // since when
	Bytes int64
}

// KeepSound keeps the recording of a pass; one that is there already stays. It returns a
// *Problem of kind ErrUnknown where there is no such pass, and of kind ErrEntry for one
// that is empty or larger than MaxSound.
func (b *Book) KeepSound(pass int64, recording []byte) error {
	if len(recording) == 0 || len(recording) > MaxSound {
		return problemSoundSize(len(recording))
	}
	sum := sha256.Sum256(recording)
	return b.write(func(tx *sql.Tx) error {
		var there bool
		if err := tx.QueryRow("SELECT count(*) FROM passes WHERE number = ?", pass).Scan(&there); err != nil {
			return err
		}
		if !there {
			return problemNoPass(pass)
		}
		_, err := tx.Exec("INSERT INTO sounds (pass, kept, sha256, recording) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
			pass, b.clock().Format(time.RFC3339), hex.EncodeToString(sum[:]), recording)
		return err
	})
}

// Sounds gives the recordings that the book keeps, by the numbers of their passes.
func (b *Book) Sounds() (map[int64]Sound, error) {
	all := map[int64]Sound{}
	err := b.read(func(tx *sql.Tx) error {
		rows, err := tx.Query("SELECT pass, kept, length(recording) FROM sounds")
		if err != nil {
			return err
		}
		_, err = collect(rows, func(r rowScanner) (struct{}, error) {
			var s Sound
			var kept string
			err := r.Scan(&s.Pass, &kept, &s.Bytes)
			if err == nil {
				s.Kept, err = time.Parse(time.RFC3339, kept)
			}
			all[s.Pass] = s
			return struct{}{}, err
		})
		return err
	})
	return all, err
}

// Sound gives the recording of a pass, as it was kept; a *Problem of kind ErrUnknown
// where the book keeps none.
func (b *Book) Sound(pass int64) ([]byte, error) {
	var recording []byte
	err := b.read(func(tx *sql.Tx) error {
		var stored string
		err := tx.QueryRow("SELECT sha256, recording FROM sounds WHERE pass = ?", pass).Scan(&stored, &recording)
		if errors.Is(err, sql.ErrNoRows) {
			return problemNoSound(pass)
		}
		if err != nil {
			return err
		}
		if sum := sha256.Sum256(recording); hex.EncodeToString(sum[:]) != stored {
			return damaged(kindPass, pass, errDigest)
		}
		return nil
	})
	return recording, err
}

// ForgetSound takes the recording of a pass out; the pass stays. The file gets smaller
// where no other program has it open. ErrUnknown where the book keeps none.
func (b *Book) ForgetSound(pass int64) error {
	err := b.write(func(tx *sql.Tx) error {
		done, err := tx.Exec("DELETE FROM sounds WHERE pass = ?", pass)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n == 0 {
			return errors.Join(problemNoSound(pass), err)
		}
		return nil
	})
	if err == nil {
		_, _ = b.db.Exec("VACUUM") // it is out already; this only returns its room
	}
	return err
}
