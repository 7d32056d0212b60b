package text

import "errors"

var errNoEditor = errors.New("editing is not written yet")

// Set replaces the single value at path by newScalar, quoted where YAML needs
// it.
func Set(src []byte, path []string, newScalar string) ([]byte, error) {
	return nil, errNoEditor
}

// Insert adds an entry at the end of the map that path without its last
// element leads to. The last element is the new key; value is YAML on one line.
func Insert(src []byte, path []string, value string) ([]byte, error) {
	return nil, errNoEditor
}

// Delete removes the entry at path.
func Delete(src []byte, path []string) ([]byte, error) {
	return nil, errNoEditor
}
