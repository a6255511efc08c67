package phone

import (
	"errors"
	"io"
	"io/fs"
	"sync"

	"topnote/internal/web/jobs"
)

// memory keeps recordings in memory. It implements jobs.Files.
type memory struct {
	mu    sync.Mutex
	files map[string]*content
}

// content is the bytes of a file. Only one writes, before others read.
type content struct{ bytes []byte }

// Create implements jobs.Files.
func (m *memory) Create(name string) (jobs.File, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.files[name] != nil {
		return nil, fs.ErrExist
	}
	if m.files == nil {
		m.files = map[string]*content{}
	}
	m.files[name] = &content{}
	return &cursor{of: m.files[name]}, nil
}

// Open implements jobs.Files.
func (m *memory) Open(name string) (jobs.File, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.files[name] == nil {
		return nil, fs.ErrNotExist
	}
	return &cursor{of: m.files[name]}, nil
}

// Remove implements jobs.Files. A file that is being read can be read to its end.
func (m *memory) Remove(name string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.files[name] == nil {
		return fs.ErrNotExist
	}
	delete(m.files, name)
	return nil
}

// Close implements jobs.Files.
func (m *memory) Close() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.files = nil
	return nil
}

// cursor is a place in a file.
type cursor struct {
	of *content
	at int64
}

// Read implements io.Reader.
func (c *cursor) Read(p []byte) (int, error) {
	if c.at >= int64(len(c.of.bytes)) {
		return 0, io.EOF
	}
	n := copy(p, c.of.bytes[c.at:])
	c.at += int64(n)
	return n, nil
}

// Write implements io.Writer.
func (c *cursor) Write(p []byte) (int, error) {
	if gap := c.at - int64(len(c.of.bytes)); gap > 0 && len(p) > 0 {
		c.of.bytes = append(c.of.bytes, make([]byte, gap)...)
	}
	n := copy(c.of.bytes[min(c.at, int64(len(c.of.bytes))):], p)
	c.of.bytes = append(c.of.bytes, p[n:]...)
	c.at += int64(len(p))
	return len(p), nil
}

// Seek implements io.Seeker.
func (c *cursor) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekCurrent:
		offset += c.at
	case io.SeekEnd:
		offset += int64(len(c.of.bytes))
	}
	if offset < 0 {
		return 0, errors.New("phone: a place before the start of a file")
	}
	c.at = offset
	return offset, nil
}

// Close implements io.Closer.
func (c *cursor) Close() error { return nil }
