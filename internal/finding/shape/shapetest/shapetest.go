// Package shapetest checks decoded texts against the JSON Schemas of package
// shape, as an editor would: it reads the printed schema, not the tables
// behind it.
package shapetest

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Check returns what in the decoded text does not fit the schema. It knows the
// keywords that package shape prints, and reports any other as a mistake.
func Check(schema []byte, text any) []string {
	var s map[string]any
	if err := json.Unmarshal(schema, &s); err != nil {
		return []string{err.Error()}
	}
	c := checker{}
	c.defs, _ = s["$defs"].(map[string]any)
	return c.check(s, plain(text), "text")
}

// plain turns keys into strings, as a reader of JSON sees them.
func plain(v any) any {
	switch v := v.(type) {
	case map[any]any:
		out := map[string]any{}
		for k, e := range v {
			out[fmt.Sprint(k)] = plain(e)
		}
		return out
	case map[string]any:
		out := map[string]any{}
		for k, e := range v {
			out[k] = plain(e)
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, e := range v {
			out[i] = plain(e)
		}
		return out
	}
	return v
}

// checker checks against one schema.
type checker struct{ defs map[string]any }

var known = []string{
	"$schema", "$defs", "$ref", "title", "description", "type", "properties", "required", "additionalProperties",
	"items", "enum", "anyOf", "minimum", "maximum",
}

func (c checker) check(s map[string]any, v any, at string) []string {
	var bad []string
	for k := range s {
		if !slices.Contains(known, k) {
			bad = append(bad, fmt.Sprintf("%s: unknown keyword %q", at, k))
		}
	}
	if ref, ok := s["$ref"].(string); ok {
		def, ok := c.defs[strings.TrimPrefix(ref, "#/$defs/")].(map[string]any)
		if !ok {
			return append(bad, fmt.Sprintf("%s: nothing defines %s", at, ref))
		}
		bad = append(bad, c.check(def, v, at)...)
	}
	if !typeFits(s["type"], v) {
		return append(bad, fmt.Sprintf("%s: %v is not of type %v", at, v, s["type"]))
	}
	if words, ok := s["enum"].([]any); ok && !slices.Contains(words, v) {
		bad = append(bad, fmt.Sprintf("%s: %v is none of %v", at, v, words))
	}
	bad = append(bad, checkRange(s, v, at)...)
	bad = append(bad, c.checkAny(s, v, at)...)
	switch v := v.(type) {
	case map[string]any:
		return append(bad, c.checkMap(s, v, at)...)
	case []any:
		if items, ok := s["items"].(map[string]any); ok {
			for i, e := range v {
				bad = append(bad, c.check(items, e, fmt.Sprintf("%s[%d]", at, i))...)
			}
		}
	}
	return bad
}

func (c checker) checkMap(s, v map[string]any, at string) []string {
	var bad []string
	properties, _ := s["properties"].(map[string]any)
	for k, e := range v {
		switch of := s["additionalProperties"].(type) {
		case bool:
			if _, ok := properties[k]; !ok && !of {
				bad = append(bad, fmt.Sprintf("%s: unknown key %q", at, k))
			}
		case map[string]any:
			bad = append(bad, c.check(of, e, at+"."+k)...)
		}
		if p, ok := properties[k].(map[string]any); ok {
			bad = append(bad, c.check(p, e, at+"."+k)...)
		}
	}
	needed, _ := s["required"].([]any)
	for _, k := range needed {
		if _, ok := v[k.(string)]; !ok {
			bad = append(bad, fmt.Sprintf("%s: needs the key %q", at, k))
		}
	}
	return bad
}

func (c checker) checkAny(s map[string]any, v any, at string) []string {
	types, ok := s["anyOf"].([]any)
	if !ok {
		return nil
	}
	var bad []string
	for _, t := range types {
		b := c.check(t.(map[string]any), v, at)
		if len(b) == 0 {
			return nil
		}
		bad = append(bad, b...)
	}
	return bad
}

func checkRange(s map[string]any, v any, at string) []string {
	n, ok := number(v)
	low, hasLow := s["minimum"].(float64)
	high, hasHigh := s["maximum"].(float64)
	if ok && (hasLow && n < low || hasHigh && n > high) {
		return []string{fmt.Sprintf("%s: %v is outside %v to %v", at, v, low, high)}
	}
	return nil
}

func typeFits(t, v any) bool {
	switch t := t.(type) {
	case string:
		return oneTypeFits(t, v)
	case []any:
		return slices.ContainsFunc(t, func(t any) bool { return oneTypeFits(t.(string), v) })
	}
	return true
}

func oneTypeFits(t string, v any) bool {
	n, isNumber := number(v)
	switch t {
	case "string":
		_, ok := v.(string)
		return ok
	case "boolean":
		_, ok := v.(bool)
		return ok
	case "number":
		return isNumber
	case "integer":
		return isNumber && n == math.Trunc(n)
	case "object":
		_, ok := v.(map[string]any)
		return ok
	case "array":
		_, ok := v.([]any)
		return ok
	}
	return false
}

func number(v any) (float64, bool) {
	switch n := v.(type) {
	case int:
		return float64(n), true
	case float64:
		return n, true
	}
	return 0, false
}
