package audit

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"cupel/internal/claim/claimfile"
	"cupel/internal/finding"
)

// soundCells is the number of cells of the board that the sound table is of.
const soundCells = 5

func sound(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("testdata/sound.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// check audits a text of claims.
func check(t testing.TB, text string, cells int) finding.List {
	t.Helper()
	var list finding.List
	s := claimfile.Read("claims.yaml", []byte(text), cells, &list)
	if len(list) > 0 {
		t.Fatalf("the table does not read: %v\n%s", list, text)
	}
	return Check(s, Facts{Cells: cells})
}

// subject is what a line of the table speaks of: the figure, or the key.
func subject(line string) string {
	line = strings.TrimPrefix(strings.TrimSpace(line), "- ")
	if m := regexp.MustCompile(`protection: ([a-z-]+)`).FindStringSubmatch(line); m != nil {
		q := regexp.MustCompile(`quantity: ([a-z_]+)`).FindStringSubmatch(line)
		s := regexp.MustCompile(`stage: (\w+)`).FindStringSubmatch(line)
		return strings.Join(append(append(m[1:], tail(q)...), tail(s)...), " ")
	}
	key, _, _ := strings.Cut(line, ":")
	return key
}

func tail(m []string) []string {
	if len(m) == 0 {
		return nil
	}
	return m[1:]
}

// changed is a table with the lines of an example.
func changed(table, example string) string {
	lines := strings.Split(strings.TrimRight(table, "\n"), "\n")
	for _, l := range strings.Split(strings.TrimSpace(example), "\n") {
		l = strings.TrimSpace(l)
		if l == "" || strings.HasPrefix(l, "#") {
			continue
		}
		out, drop := strings.CutPrefix(l, "- ")
		at, figures := -1, 0
		for i, have := range lines {
			if subject(have) == subject(out) {
				at = i
			}
			if have == "figures:" {
				figures = i + 1
			}
		}
		if strings.HasPrefix(l, "{") {
			l = "- " + l
		}
		switch {
		case drop:
			lines = append(lines[:at], lines[at+1:]...)
		case at >= 0:
			lines[at] = "  " + l
		case strings.HasPrefix(l, "- "):
			lines = append(lines[:figures], append([]string{"  " + l}, lines[figures:]...)...)
		default:
			lines = append(lines, "  "+l)
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

func TestSoundTableIsSound(t *testing.T) {
	for _, f := range check(t, sound(t), soundCells) {
		t.Errorf("%s: %s [%s]", f.Code, f, f.Arithmetic)
	}
}

// alsoSaid names what an example breaks beside its own rule, and cannot help it.
var alsoSaid = map[string][]string{
	"ChargerAgainstFull": {"RowsMissing"},       // without balancing, which asks for more
	"SenseBelowRating":   {"TripAgainstRating"}, // a trip below the rating is both
}

// Every code's example gives its finding and no other.
func TestExamples(t *testing.T) {
	codes, byName := examples(t)
	for _, c := range codes {
		t.Run(c.name, func(t *testing.T) {
			if c.example == "" {
				if c.name != "NothingStated" {
					t.Fatal("no example in the comment of the code")
				}
				return
			}
			allowed := map[string]bool{c.code: true}
			for _, n := range alsoSaid[c.name] {
				allowed[byName[n]] = true
			}
			found := false
			for _, f := range check(t, changed(sound(t), c.example), soundCells) {
				found = found || f.Code == c.code
				if !allowed[f.Code] {
					t.Errorf("also found %s: %s [%s]", f.Code, f, f.Arithmetic)
				}
				whole(t, f)
			}
			if !found {
				t.Errorf("%s not found", c.code)
			}
		})
	}
}

// whole checks what every finding owes its reader.
func whole(t *testing.T, f finding.Finding) {
	t.Helper()
	if f.Do == "" || f.Text == "" || f.Place.File == "" {
		t.Errorf("%+v lacks a text, a place or what to do", f)
	}
	if f.Level != finding.Note && (f.Place.Line == 0 || f.Arithmetic == "" || len(f.Figures) == 0) {
		t.Errorf("%+v lacks a line, its figures or its arithmetic", f)
	}
	for _, g := range f.Figures {
		if g.Name == "" || g.Value != g.Value {
			t.Errorf("%s: figure %+v", f.Code, g)
		}
	}
	if strings.Contains(f.Text+f.Arithmetic+f.Do, "NaN") || strings.HasSuffix(f.Text, ".") {
		t.Errorf("%s: %q %q %q", f.Code, f.Text, f.Arithmetic, f.Do)
	}
}

type documented struct{ name, code, example string }

// examples reads codes, names and examples out of codes.go.
func examples(t *testing.T) (list []documented, byName map[string]string) {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "codes.go", nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	byName = map[string]string{}
	for _, d := range file.Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		for _, s := range g.Specs {
			v := s.(*ast.ValueSpec)
			code, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			_, example, _ := strings.Cut(v.Doc.Text(), "Example:")
			list = append(list, documented{v.Names[0].Name, code, strings.TrimSpace(example)})
			byName[v.Names[0].Name] = code
		}
	}
	return list, byName
}

func TestCodesAreUnique(t *testing.T) {
	seen := map[string]bool{}
	codes, _ := examples(t)
	for _, c := range codes {
		if seen[c.code] || !regexp.MustCompile(`^A1\d\d$`).MatchString(c.code) {
			t.Errorf("%s of %s", c.code, c.name)
		}
		seen[c.code] = true
	}
}

func TestNothingStated(t *testing.T) {
	l := check(t, "cupel: 1\nfigures: []\n", 3)
	if len(l) != 1 || l[0].Code != NothingStated || l[0].Level != finding.Note {
		t.Errorf("%v", l)
	}
}
