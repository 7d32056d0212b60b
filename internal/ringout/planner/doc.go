// Package planner says which pads to probe next. It sees a sample and what the
// readings so far say, and nothing else: its input holds no net.
//
// # How it thinks
//
// For every pad that is not yet settled it keeps in mind how probably the pad is
// on each of the nets there are, and asks the most probable pair. A wrong guess
// costs one touch, so guesses of which nothing better than luck is known wait
// until more is known.
//
// Where the probabilities come from, the strongest first:
//
//   - Slices. What was found at one cell is expected one tap up or down: the same
//     part type, its pins on the corresponding nets (slices.go).
//   - Conventions. A supply pin has a filter resistor to its tap, a base has its
//     driver, a gate its pull (conventions.go). Which part type a convention uses
//     on this board is learned as it is met.
//   - Company. Pins of a type are found with those they were found with before
//     (company.go).
//
// Conventions and slices speak in places: "a 1 MΩ resistor lies between these two
// nets". How parts and places go together is a matching; its marginals are found
// by scaling rows and columns in turn (matching.go).
//
// Readings that follow from others are never asked for. Once no guess is worth a
// touch, the closing sweep shows that what was not found to be joined is apart.
//
// # Ties
//
// Pads are taken in the order of their names. So the order of parts and pads in
// the input makes no difference, and the names of nets cannot. Alike parts of
// which nothing is known yet can only be told apart by name; the first is taken.
package planner
