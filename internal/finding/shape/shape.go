// Package shape says which keys a text has and what may stand there, once for
// its decoder and for the JSON Schema that editors use.
package shape

import (
	"bytes"
	"encoding/json"
)

// Type is what a value may be: a piece of JSON Schema (draft 2020-12).
type Type map[string]any

// Field is one key of a map.
type Field struct {
	Name   string
	About  string // shown by editors
	Needed bool
	Is     Type
}

// Fields are the keys of a map, in the order in which they are usually written.
type Fields []Field

// Names lists the keys, for a decoder to check against.
func (fs Fields) Names() []string {
	names := make([]string, len(fs))
	for i, f := range fs {
		names[i] = f.Name
	}
	return names
}

// Needed lists the keys that the map must have.
func (fs Fields) Needed() []string {
	names := []string{}
	for _, f := range fs {
		if f.Needed {
			names = append(names, f.Name)
		}
	}
	return names
}

// Type is a map with these keys and no others.
func (fs Fields) Type() Type {
	properties := map[string]any{}
	for _, f := range fs {
		p := Type{}
		for k, v := range f.Is {
			p[k] = v
		}
		if f.About != "" {
			p["description"] = f.About
		}
		properties[f.Name] = p
	}
	return Type{"type": "object", "properties": properties, "required": fs.Needed(), "additionalProperties": false}
}

// Word is a single value. Editors read 0603 and 25 as numbers, so both pass.
func Word() Type { return Type{"type": []string{"string", "number"}} }

// Whole is a whole number from low to high.
func Whole(low, high int) Type {
	return Type{"type": "integer", "minimum": low, "maximum": high}
}

// Number is a plain number from low to high.
func Number(low, high float64) Type {
	return Type{"type": "number", "minimum": low, "maximum": high}
}

// Flag is true or false.
func Flag() Type { return Type{"type": "boolean"} }

// OneOf is one of the words.
func OneOf[W ~string](words ...W) Type { return Type{"enum": words} }

// List is a list of values of one type.
func List(of Type) Type { return Type{"type": "array", "items": of} }

// Keyed is a map of any keys to values of one type.
func Keyed(of Type) Type { return Type{"type": "object", "additionalProperties": of} }

// Either is a value of one of the types.
func Either(types ...Type) Type { return Type{"anyOf": types} }

// Named is a type of that name; the schema that uses it must define it.
func Named(name string) Type { return Type{"$ref": "#/$defs/" + name} }

// Defs are the types that [Named] refers to.
type Defs map[string]Type

// Schema prints t as a JSON Schema, two spaces indented, keys sorted, with a
// newline at the end.
func Schema(title string, t Type, defs Defs) []byte {
	whole := Type{"$schema": "https://json-schema.org/draft/2020-12/schema", "title": title}
	if len(defs) > 0 {
		whole["$defs"] = defs
	}
	for k, v := range t {
		whole[k] = v
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(whole); err != nil {
		panic(err) // only a type that is no JSON: a mistake of the caller
	}
	return b.Bytes()
}
