package clip

// Problem is why a recording cannot be used, in words for people. Every error
// of Open, Read, NewStream and Stream is one, but for io.EOF, that of a context
// and a *parallel.Panic; use errors.As.
//
// The program prints "FILE: SAYS; DO". Text from inside a file is quoted.
type Problem struct {
	Code string // one of the Code constants
	Says string // what is wrong: starts in lower case, no full stop
	Do   string // what to do about it: likewise
	Err  error  // the cause beneath, or nil
}

// The codes of a Problem.
const (
	CodeNotFound     = "not-found"     // no such file
	CodeNoPermission = "no-permission" // the system refuses to read it
	CodeFolder       = "folder"        // a folder, not a file
	CodeReadFailed   = "read-failed"   // the disk, pipe or network broke off
	CodeEmpty        = "empty"         // no bytes at all
	CodeTooShort     = "too-short"     // ends before the sound begins
	CodeNotAudio     = "not-audio"     // no container that is known
	CodeNoFFmpeg     = "no-ffmpeg"     // only ffmpeg can decode it, and there is none that runs
	CodeNoPipe       = "no-pipe"       // it cannot be decoded from a pipe
	CodeNoWriter     = "no-writer"     // a named pipe that nothing writes to
	CodeNoRoom       = "no-room"       // what has to go to the folder for temporary files cannot be written
	CodeCodec        = "codec"         // sound that nothing here can decode
	CodeDamaged      = "damaged"       // contradicts itself or cannot be decoded
	CodeRate         = "rate"          // samples a second outside Limits
	CodeChannels     = "channels"      // outside Limits
	CodeNoSound      = "no-sound"      // a sound of zero length
	CodeTooBig       = "too-big"       // more bytes than Limits
	CodeTooLong      = "too-long"      // more seconds than Limits
	CodeTooSlow      = "too-slow"      // more work than Limits
)

// Error gives the problem as one line for a log.
func (p *Problem) Error() string {
	if p.Err != nil {
		return "clip: " + p.Says + ": " + p.Err.Error()
	}
	return "clip: " + p.Says
}

// Unwrap gives the cause beneath, such as fs.ErrNotExist.
func (p *Problem) Unwrap() error { return p.Err }
