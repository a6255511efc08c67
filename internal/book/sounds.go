package book

import (
	"database/sql"
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
	return b.write(func(tx *sql.Tx) error {
		var there bool
		if err := tx.QueryRow("SELECT count(*) FROM passes WHERE number = ?", pass).Scan(&there); err != nil {
			return err
		}
		if !there {
			return problemNoPass(pass)
		}
		_, err := insertSound(tx, pass, soundJSON{Kept: b.clock(), SHA256: soundDigest(recording), Recording: recording})
		return err
	})
}

// Sounds gives the recordings that the book keeps, by the numbers of their passes.
func (b *Book) Sounds() (map[int64]Sound, error) {
	all := map[int64]Sound{}
	err := b.read(func(tx *sql.Tx) error {
		listed, err := listSounds(tx)
		for _, l := range listed {
			all[l.Pass] = Sound{Pass: l.Pass, Kept: l.Kept, Bytes: l.Bytes}
		}
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
		if soundDigest(recording) != stored {
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
