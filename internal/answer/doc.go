// Package answer holds every answer of Cupel as published data: one struct a
// question, with the JSON names and the units in the names.
//
// # Rules
//
// An answer is one JSON object, indented by two spaces, its keys in the order
// of the struct, with a newline at its end. Equal inputs give equal bytes: no
// time, no duration, no path and no machine's name is in it. Numbers are the
// shortest decimals that read back equal. What is absent is null, never 0 and
// never a missing key; a list with nothing in it is [].
//
// A row that names its quantity carries "value" and "unit" with the SI symbol;
// every other number carries its unit at the end of its name. Only a search
// with the outcome "found" has a value; where nothing was found "searched_to"
// says how far the search went, in "searched_unit".
//
// # Keys beyond the first ones
//
// The rows of "results" carry after "open_means" what tells two alike rows
// apart: "stage" (which of several stages of a protection), "step" (which step
// of a sweep; null for the figure of the whole), "port" (which direction), "word" (a result that is a word and not a number), "conditions"
// (what it was found at), "searched_unit" and "note". The answer itself adds
// "summary" (how many figures got which verdict), "figures" (waveforms by
// their extremes), "cautions", "assumed", "findings" (what could not be
// computed, and why), "title" and "cells".
//
// "resolution" is half the last interval of the search: the value is known to
// ± that much from the search alone. It is null where nothing was searched.
// Of a peak over a bank, and of the energy of a bank that no current crosses, it
// is what the record of a short can tell; a value below it is no figure.
//
// The answer on heat carries after "parts" the range of the honest current over
// all that is assumed, every limit with its current and its distance from the
// first, the current that "parts" are shown under, and what bleed resistors, banks
// that are off and shorts come to. Of a trip "warmth" says that the board's
// temperature and not the current is to blame.
package answer
