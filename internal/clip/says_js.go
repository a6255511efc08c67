package clip

// What is said of recordings that only ffmpeg decodes, in a browser: it is asked
// next, and this is seen where it cannot decode them either.
const (
	doInstall    = doExportIt
	saysNoFFmpeg = "this is %s, which neither Topnote nor this browser can decode"
	doSaveFile   = doExportIt
)
