package live

import (
	"context"
	"io"
)

// interruptible gives what r gives until ctx ends, and then io.EOF. A read that waits
// for bytes goes on behind it until they come.
func interruptible(ctx context.Context, r io.Reader) io.Reader {
	if ctx.Done() == nil {
		return r
	}
	p := &pump{ctx: ctx, r: r, full: make(chan []byte), empty: make(chan []byte, 1)}
	p.empty <- make([]byte, pumpBytes)
	go p.run()
	return p
}

const pumpBytes = 1 << 12 // some 40 ms of one channel at 48 kHz

// pump reads ahead by one buffer in a goroutine of its own.
type pump struct {
	ctx         context.Context
	r           io.Reader
	full, empty chan []byte
	err         error  // set before full is closed
	rest        []byte // not handed on yet
	buf         []byte // that rest is of
}

func (p *pump) run() {
	defer close(p.full)
	for buf := range p.empty {
		n, err := p.r.Read(buf[:cap(buf)])
		select {
		case p.full <- buf[:n]:
		case <-p.ctx.Done():
			return
		}
		if err != nil {
			p.err = err
			return
		}
	}
}

// Read implements io.Reader.
func (p *pump) Read(dst []byte) (int, error) {
	for len(p.rest) == 0 {
		if p.ctx.Err() != nil {
			return 0, io.EOF
		}
		if p.buf != nil {
			p.empty <- p.buf
			p.buf = nil
		}
		select {
		case buf, more := <-p.full:
			if !more {
				if p.ctx.Err() != nil || p.err == nil {
					return 0, io.EOF
				}
				return 0, p.err
			}
			p.rest, p.buf = buf, buf
		case <-p.ctx.Done():
			return 0, io.EOF
		}
	}
	n := copy(dst, p.rest)
	p.rest = p.rest[n:]
	return n, nil
}
