//go:build !js

package clip

// What is said of recordings that only ffmpeg decodes, where it could be installed.
const (
	doInstall    = "install ffmpeg (ffmpeg.org has it for every system) and try again, open it on the page of topnote serve, where the browser may decode it, or " + doExportIt
	saysNoFFmpeg = "this is %s, and ffmpeg, the program that would decode it, is not installed"
	doSaveFile   = "save it as a file and name that"
)
