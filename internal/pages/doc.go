// Package pages serves an open dossier as local web pages.
//
// # The rules
//
// A handler parses, calls the desk or a study, and renders. Numbers come from
// the same studies as those of the command line; every text a person reads
// comes from the language file, but for what an answer says of this board.
//
// # How a page is made
//
// A page is one Go file with a value of type page, listed in registry, one
// template of the same name in templates/ that defines "sheet" and "margin",
// and, where it needs them, one style sheet and one module of the same name in
// static/. The layout puts the chain on top and the first line under it. A page
// gives its links of the chain, its first line and its data by show; what a
// person does there are its actions, one POST each; what it hands out besides
// (pictures, points of a waveform) are its files.
//
// # Safety
//
// The server listens on loopback. It takes no request whose Host is not its own
// name, which keeps names that were bent to this address out, and no POST
// without its own Origin and the token that only its own pages carry. No page
// has a script or a style in it: the policy forbids them. Files are named by
// the desk's rules and never by a path of the request. Other devices come in
// only when the person asked for it, with a PIN that stands in the terminal.
package pages
