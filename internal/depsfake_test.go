package internal_test

import (
	"strings"
	"testing"
	"testing/fstest"
)

// fakeTable is a small house to try the checker on.
const fakeTable = `
level | package | imports | reason
0 | word        | only nothing | a word
1 | thing       |              | a thing
1 | thing/part  |              | a part of it
1 | thing/iface |              | what a thing stands on
1 | thing/suite | for tests    | tests of things
2 | other       | not thing    | does not know things
3 | stand       | only word stand/iface, child stand/iface | stands on its child
3 | stand/iface | only nothing | what stand stands on
5 | answer      | only nothing | published
5 | study/batch |              | runs many
6 | desk        |              | open dossier
6 | cli         |              | face
6 | press       |              | no face
`

const fakeOutside = `
module           | packages | what for
example.org/yaml | word     | parser
`

// TestChecker plants one breach in a tree and wants to hear of it, and of
// nothing where there is none.
func TestChecker(t *testing.T) {
	p, err := parsePolicy(fakeTable, fakeOutside)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, file, code string
		want             string // part of the one message; empty: none
	}{
		// who imports whom
		{"down a level", "internal/thing/a.go", `import "cupel/internal/word"`, ""},
		{"up a level", "internal/word/a.go", `import "cupel/internal/thing"`, "word (level 0) imports thing (level 1)"},
		{"child imports parent", "internal/thing/part/a.go", `import "cupel/internal/thing"`, ""},
		{"parent imports child", "internal/thing/a.go", `import "cupel/internal/thing/part"`, "imports its child thing/part"},
		{"parent may import that child", "internal/stand/a.go", `import "cupel/internal/stand/iface"`, ""},
		{"sibling", "internal/thing/part/a.go", `import "cupel/internal/thing/iface"`, ""},
		{"only", "internal/stand/a.go", `import "cupel/internal/thing"`, "its row allows only word, stand/iface"},
		{"only nothing", "internal/answer/a.go", `import "cupel/internal/word"`, "its row allows only nothing"},
		{"not", "internal/other/a.go", `import "cupel/internal/thing"`, "its row forbids that"},
		{"not, children too", "internal/other/a.go", `import "cupel/internal/thing/part"`, "its row forbids that"},
		{"test suite outside tests", "internal/thing/a.go", `import "cupel/internal/thing/suite"`, "for tests alone"},
		{"face imports desk", "internal/cli/a.go", `import "cupel/internal/desk"`, ""},
		{"another imports desk", "internal/press/a.go", `import "cupel/internal/desk"`, "only the two faces"},
		{"no row", "internal/novel/a.go", ``, "novel has no row: add"},
		{"import of no row", "internal/cli/a.go", `import "cupel/internal/novel"`, "novel, which has no row"},
		{"module allowed", "internal/word/a.go", `import "example.org/yaml/v4"`, ""},
		{"module elsewhere", "internal/thing/a.go", `import "example.org/yaml/v4"`, "which is for word"},
		{"module unknown", "internal/thing/a.go", `import "example.org/toml"`, "the second table does not name"},

		// the world
		{"file", "internal/thing/a.go", `import "os"`, "imports os:"},
		{"process", "internal/thing/a.go", `import "os/exec"`, "imports os/exec:"},
		{"socket", "internal/thing/a.go", `import "net/http"`, "imports net/http:"},
		{"clock", "internal/thing/a.go", `import "time"`, "imports time:"},
		{"chance", "internal/thing/a.go", `import "math/rand"`, "imports math/rand:"},
		{"file in a face", "internal/cli/a.go", `import "os"`, ""},
		{"file in a runner", "internal/study/batch/a.go", `import "os"`, ""},
		{"file in a test suite", "internal/thing/suite/a.go", `import "os"`, ""},
		{"file in a test", "internal/thing/a_test.go", `import "os"`, ""},
		{"url", "internal/thing/a.go", `import "net/url"`, ""},
		{"seeded chance", "internal/thing/a.go", `import "math/rand/v2"; var r = rand.New(rand.NewPCG(1, 2))`, ""},
		{"unseeded chance", "internal/thing/a.go", `import "math/rand/v2"; var r = rand.IntN(6)`, "calls rand.IntN"},
		{"renamed chance", "internal/thing/a.go", `import dice "math/rand/v2"; var r = dice.N(6)`, "calls rand.N"},
		{"print", "internal/thing/a.go", `import "fmt"; func f() { fmt.Println(1) }`, "calls fmt.Println"},
		{"print to a writer", "internal/thing/a.go", `import ("fmt"; "io"); func f(w io.Writer) { fmt.Fprintln(w, 1) }`, ""},
		{"timeout", "internal/thing/a.go", `import "context"; var c, d = context.WithTimeout(nil, 1)`, "starts a clock"},

		// goroutines
		{"goroutine", "internal/thing/a.go", `func f() { go f() }`, "starts a goroutine"},
		{"goroutine by a group", "internal/thing/a.go", `import "sync"; func f() { var g sync.WaitGroup; g.Go(f) }`, "starts a goroutine by Go"},
		{"goroutine in a runner", "internal/study/batch/a.go", `func f() { go f() }`, ""},

		// tags
		{"tag", "internal/thing/a.go", "type s struct { A int `json:\"a\"` }", "has a JSON tag"},
		{"tag of an answer", "internal/answer/a.go", "type s struct { A int `json:\"a\"` }", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			tree := fstest.MapFS{c.file: {Data: []byte("package x\n" + c.code)}}
			got, err := p.check(tree)
			if err != nil {
				t.Fatal(err)
			}
			if c.want == "" && len(got) > 0 {
				t.Errorf("found %q, want nothing", got)
			}
			if c.want != "" && (len(got) != 1 || !strings.Contains(got[0], c.want)) {
				t.Errorf("found %q, want one with %q", got, c.want)
			}
		})
	}
}

// TestParsePolicy wants a bad table refused.
func TestParsePolicy(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		{"x | word | | reason", "level \"x\" is no number"},
		{"0 | word | maybe thing | reason", "unknown clause \"maybe\""},
		{"0 | word | | ", "give the reason"},
		{"0 | word | | a\n0 | word | | b", "two rows"},
	} {
		_, err := parsePolicy("level | package | imports | reason\n"+c.line, "module | packages | for")
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("table line %q: error %v, want %q", c.line, err, c.want)
		}
	}
}
