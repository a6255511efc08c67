package main

import (
	"encoding/binary"
	"io"
	"os"

	"topnote/internal/clip"
)

// saveFile is the recording of a session. It is written as the sound comes, so that
// nothing is lost however the session ends: until then its header says that its length
// is open.
type saveFile struct {
	path  string
	f     *os.File
	head  int64 // bytes of the header; 0: none yet
	bytes int64 // of the samples
	buf   []byte
}

// createSave creates the file, which must not be there.
func createSave(path string) (*saveFile, error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666) // less the umask
	if os.IsExist(err) {
		return nil, refuseSaveOver(path)
	}
	if err != nil {
		return nil, saysCannotWrite(path, withoutPath(err))
	}
	return &saveFile{path: path, f: f}, nil
}

// frames appends frames, interleaved by channel.
func (s *saveFile) frames(samples []int16, rate, channels int) error {
	s.buf = s.buf[:0]
	if s.head == 0 {
		s.buf = clip.WAVOf(nil, rate, channels)
		binary.LittleEndian.PutUint32(s.buf[len(s.buf)-4:], 1<<32-1)
		s.head = int64(len(s.buf))
	}
	s.bytes += int64(2 * len(samples))
	for _, v := range samples {
		s.buf = binary.LittleEndian.AppendUint16(s.buf, uint16(v))
	}
	if _, err := s.f.Write(s.buf); err != nil {
		return saysCannotWrite(s.path, withoutPath(err))
	}
	return nil
}

// close writes the length, where 32 bits hold it, and closes the file; one that has no
// sound is removed.
func (s *saveFile) close() error {
	var err error
	if s.head > 0 && s.bytes+s.head < 1<<32 {
		err = s.size(s.head-4, s.bytes)
		if err == nil {
			err = s.size(4, s.bytes+s.head-8)
		}
	}
	if closed := s.f.Close(); err == nil {
		err = closed
	}
	if s.head == 0 {
		os.Remove(s.path)
	}
	if err != nil {
		return saysCannotWrite(s.path, withoutPath(err))
	}
	return nil
}

// size writes a size at a place of the header.
func (s *saveFile) size(at, bytes int64) error {
	if _, err := s.f.Seek(at, io.SeekStart); err != nil {
		return err
	}
	return binary.Write(s.f, binary.LittleEndian, uint32(bytes))
}
