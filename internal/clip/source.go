package clip

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"hash"
	"io"
	"io/fs"
	"time"
)

// source is the first stage: it counts, hashes and limits the bytes of the file.
// Its errors are io.EOF, a *Problem or that of ctx; after the first, every read
// gives the same.
type source struct {
	ctx    context.Context
	r      io.Reader
	limit  int64
	read   int64
	hash   hash.Hash
	waited time.Duration // inside r: a slow pipe is not a slow decoder
	err    error

	began   time.Time     // when the decoder was called
	before  time.Duration // waited until then
	allowed time.Duration // for the call, without waiting
}

func newSource(ctx context.Context, r io.Reader, limit int64) *source {
	return &source{ctx: ctx, r: r, limit: limit, hash: sha256.New()}
}

// allow limits the time of the decoder call that begins now. It stops a decoder
// that reads without end.
func (s *source) allow(d time.Duration) {
	s.began, s.before, s.allowed = time.Now(), s.waited, d
}

// worked gives the time since allow, without waiting.
func (s *source) worked() time.Duration { return time.Since(s.began) - (s.waited - s.before) }

// Read implements io.Reader.
func (s *source) Read(p []byte) (int, error) {
	if s.err == nil {
		s.err = s.ctx.Err()
	}
	if s.err != nil {
		return 0, s.err
	}
	began := time.Now()
	n, err := s.r.Read(p)
	s.waited += time.Since(began)
	s.hash.Write(p[:n])
	s.read += int64(n)
	switch {
	case s.read > s.limit:
		s.err = sayTooBig(s.limit)
	case errors.Is(err, io.EOF):
		s.err = io.EOF
	case err != nil:
		s.err = sayReadFailed(err)
	case s.worked() > s.allowed:
		s.err = sayTooSlow()
	}
	return n, s.err
}

// sizeOf gives the size of r in bytes, where it is a plain file or in memory;
// otherwise 0.
func sizeOf(r io.Reader) int64 {
	switch r := r.(type) {
	case interface{ Stat() (fs.FileInfo, error) }:
		if info, err := r.Stat(); err == nil && info.Mode().IsRegular() {
			return info.Size()
		}
	case interface{ Len() int }:
		return int64(r.Len())
	}
	return 0
}

// sum gives the SHA-256 of the bytes so far, lower-case hex.
func (s *source) sum() string { return hex.EncodeToString(s.hash.Sum(nil)) }
