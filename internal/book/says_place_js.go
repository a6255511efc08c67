package book

// What to do about the book in the storage of a browser.
const (
	doOtherFile = "take what it holds along from an earlier version of this page; nothing was changed"
	doNewer     = "load the page again with a network, to get the newer version; nothing was changed"
	doRestore   = "delete the data of this page in the browser's settings and add the book that you took along last"
	saysFull    = "the room that this browser gives the book %s is full, so nothing was stored"
	doFull      = "make room on the device and try again"
	saysNoOpen  = "the book %s cannot be opened: this browser keeps no files for this page"
	doNoOpen    = "open it in a window that is not private, in one tab only"
	saysDisk    = "the storage of the book %s cannot be read or written, perhaps because the device is full; nothing was stored"
	doDisk      = "make room on it, load the page again and try once more"
)
