package jobs

import "cmp"

// audioTypes are the kinds of recordings that a browser may be able to play, by
// the container that was found, whatever the sender called it.
var audioTypes = map[string]string{
	"wav": "audio/wav", "flac": "audio/flac", "ogg": "audio/ogg", "mp3": "audio/mpeg", "m4a": "audio/mp4",
	"mp4": "audio/mp4", "3gp": "audio/3gpp", "webm": "audio/webm", "aiff": "audio/aiff", "amr": "audio/amr",
}

// AudioType gives the media type of a recording by its container.
func AudioType(container string) string {
	return cmp.Or(audioTypes[container], "application/octet-stream")
}
