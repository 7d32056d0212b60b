// Package schematic holds the drawn sheet as data: symbols with their pins,
// wires, junctions, names of nets and texts, each at its place. Who lays it out
// and who turns it into a picture are its children; tests look at the data.
//
// # Ideas
//
// Everything electrical lies on a grid of [Grid] units: pins, bends, junctions,
// ends of wires. Texts lie anywhere. Y grows downwards.
//
// A net may be drawn in several pieces. Pieces that belong together carry the
// net's name: a [Flag] for a rail that is far away, a [Link] for a signal that
// goes on elsewhere. [Sheet.Check] holds a sheet against its board: each piece
// must touch only pins of its net, pieces must be named, and no two things may
// lie on each other.
//
// Which way a part may turn is a matter of its [Shape]; what it looks like, of
// the package svg.
package schematic
