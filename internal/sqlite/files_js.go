package sqlite

// The files of the browser's private storage, by their absolute paths.

// Exists reports whether there is a file. The error is one of the storage.
func Exists(path string) (bool, error) {
	r, err := call("exists", path)
	if err != nil {
		return false, err
	}
	return r.Get("exists").Bool(), nil
}

// ReadFile gives the bytes of a database that no transaction is writing to.
func ReadFile(path string) ([]byte, error) {
	r, err := call("read", path)
	if err != nil {
		return nil, err
	}
	return fromJS(r.Get("bytes")), nil
}

// WriteFile makes a file of the bytes of a database, in the place of one that is
// there.
func WriteFile(path string, b []byte) error {
	_, err := call("write", path, toJS(b))
	return err
}

// Remove removes a database that is not open.
func Remove(path string) error {
	_, err := call("remove", path)
	return err
}
