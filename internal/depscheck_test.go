package internal_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"slices"
	"sort"
	"strconv"
	"strings"
)

const module = "cupel/"

// A row is one line of the table, read.
type row struct {
	level             int
	limited           bool // only names all it may import
	only, not, childs []string
	forTests          bool
}

// A policy is the two tables, read.
type policy struct {
	rows    map[string]row
	outside map[string][]string // module → packages that may import it
}

// parsePolicy reads the two tables.
func parsePolicy(table, outside string) (*policy, error) {
	p := &policy{map[string]row{}, map[string][]string{}}
	for _, cells := range lines(table, 4) {
		level, err := strconv.Atoi(cells[0])
		if err != nil {
			return nil, fmt.Errorf("table: %s: level %q is no number", cells[1], cells[0])
		}
		r, err := parseImports(cells[2])
		if err != nil {
			return nil, fmt.Errorf("table: %s: %w", cells[1], err)
		}
		if _, ok := p.rows[cells[1]]; ok {
			return nil, fmt.Errorf("table: %s has two rows", cells[1])
		}
		if cells[3] == "" {
			return nil, fmt.Errorf("table: %s: give the reason", cells[1])
		}
		r.level = level
		p.rows[cells[1]] = r
	}
	for _, cells := range lines(outside, 3) {
		p.outside[cells[0]] = strings.Fields(cells[1])
	}
	return p, nil
}

// lines returns the cells of a table's lines, without heading and comments.
func lines(table string, columns int) [][]string {
	var out [][]string
	for _, line := range strings.Split(table, "\n") {
		cells := strings.Split(line, "|")
		if len(cells) != columns || strings.HasPrefix(line, "#") {
			continue
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		out = append(out, cells)
	}
	return out[1:]
}

// parseImports reads the third column: clauses between commas.
func parseImports(text string) (row, error) {
	var r row
	for _, clause := range strings.Split(text, ",") {
		words := strings.Fields(clause)
		if len(words) == 0 {
			continue
		}
		switch words[0] {
		case "only":
			r.limited, r.only = true, words[1:]
		case "not":
			r.not = words[1:]
		case "child":
			r.childs = words[1:]
		case "for":
			r.forTests = true
		default:
			return r, fmt.Errorf("unknown clause %q; want only, not, child or for tests", words[0])
		}
	}
	return r, nil
}

// check returns what breaks the policy, one text a breach, sorted.
func (p *policy) check(tree fs.FS) ([]string, error) {
	var problems []string
	rowless := map[string]bool{}
	err := fs.WalkDir(tree, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir():
			return skip(name, d)
		case !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go"):
			return nil
		}
		pkg := strings.TrimPrefix(path.Dir(name), "internal/")
		r, ok := p.rows[pkg]
		if !ok {
			rowless[pkg] = true
			return nil
		}
		text, err := fs.ReadFile(tree, name)
		if err != nil {
			return err
		}
		found, err := p.checkFile(pkg, r, name, text)
		problems = append(problems, found...)
		return err
	})
	for pkg := range rowless {
		problems = append(problems, fmt.Sprintf("%s has no row: add \"level | %s | imports | what it is, and why it stands there\" to the table in internal/deps_test.go", pkg, pkg))
	}
	sort.Strings(problems)
	return problems, err
}

// skip leaves out what is no package of ours.
func skip(name string, d fs.DirEntry) error {
	base := d.Name()
	hidden := name != "." && (strings.HasPrefix(base, ".") || strings.HasPrefix(base, "_"))
	if hidden || base == "testdata" || base == "node_modules" || name == "tools" {
		return fs.SkipDir
	}
	return nil
}

func (p *policy) checkFile(pkg string, r row, name string, text []byte) ([]string, error) {
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, name, text, parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	var problems []string
	say := func(pos token.Pos, why string) {
		at := fset.Position(pos)
		problems = append(problems, fmt.Sprintf("%s:%d: %s %s", at.Filename, at.Line, pkg, why))
	}
	for _, spec := range f.Imports {
		to, _ := strconv.Unquote(spec.Path.Value)
		if why := p.checkImport(pkg, r, to); why != "" {
			say(spec.Pos(), why)
		}
	}
	checkCode(pkg, r, f, say)
	return problems, nil
}

// checkImport returns why pkg must not import to, or "".
func (p *policy) checkImport(pkg string, r row, to string) string {
	switch {
	case strings.HasPrefix(to, module):
		return p.checkOurs(pkg, r, strings.TrimPrefix(strings.TrimPrefix(to, module), "internal/"))
	case strings.Contains(strings.Split(to, "/")[0], "."):
		return p.checkOutside(pkg, to)
	case quiet(pkg, r):
		return checkWorld(to)
	}
	return ""
}

func (p *policy) checkOurs(pkg string, r row, to string) string {
	target, ok := p.rows[to]
	switch {
	case !ok:
		return "imports " + to + ", which has no row"
	case to == "desk" && pkg != "cli" && pkg != "pages":
		return "imports desk: only the two faces, cli and pages, do"
	case target.forTests && !r.forTests:
		return "imports " + to + ", which is for tests alone"
	case strings.HasPrefix(to, pkg+"/") && !slices.Contains(r.childs, to):
		return "imports its child " + to + ": a child may import its parent, a parent never its child"
	case target.level > r.level:
		return fmt.Sprintf("(level %d) imports %s (level %d): imports go to the own level or below", r.level, to, target.level)
	case r.limited && !slices.Contains(r.only, to):
		return fmt.Sprintf("imports %s: its row allows only %s", to, strings.Join(r.only, ", "))
	case slices.ContainsFunc(r.not, func(n string) bool { return under(to, n) }):
		return "imports " + to + ": its row forbids that"
	}
	return ""
}

func (p *policy) checkOutside(pkg, to string) string {
	for mod, packages := range p.outside {
		if !under(to, mod) {
			continue
		}
		if slices.ContainsFunc(packages, func(n string) bool { return under(pkg, n) }) {
			return ""
		}
		return fmt.Sprintf("imports %s, which is for %s", to, strings.Join(packages, ", "))
	}
	return "imports " + to + ", a module that the second table does not name; add it there with what it is for"
}

// under reports whether pkg is parent or lies under it.
func under(pkg, parent string) bool {
	return pkg == parent || strings.HasPrefix(pkg, parent+"/")
}

// quiet reports whether a package must not touch the world.
func quiet(pkg string, r row) bool {
	return r.level <= 5 && !r.forTests && !slices.Contains(worldly, pkg)
}

// world names the standard packages that reach files, sockets, clocks,
// processes, the environment or unseeded chance, children included.
var world = []string{
	"os", "net", "time", "syscall", "io/ioutil", "path/filepath", "log", "runtime",
	"crypto/rand", "math/rand", "plugin", "unsafe", "flag", "testing", "expvar", "C",
}

// pure are the exceptions: they compute and touch nothing.
var pure = []string{"net/url", "net/netip", "net/textproto", "math/rand/v2"}

func checkWorld(to string) string {
	if slices.Contains(pure, to) || !slices.ContainsFunc(world, func(w string) bool { return under(to, w) }) {
		return ""
	}
	return "imports " + to + ": levels 0 to 5 touch no file, socket, clock, environment or unseeded chance; take it as an argument"
}

// checkCode looks at what a file does rather than what it imports.
func checkCode(pkg string, r row, f *ast.File, say func(token.Pos, string)) {
	names := localNames(f)
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt:
			if quiet(pkg, r) {
				say(n.Pos(), "starts a goroutine: levels 0 to 5 start none; study/batch runs what wants many cores")
			}
		case *ast.Field:
			if n.Tag != nil && strings.Contains(n.Tag.Value, "json:") && !slices.Contains(tagged, pkg) {
				say(n.Pos(), "has a JSON tag: published shapes stand in answer alone")
			}
		case *ast.CallExpr:
			if why := checkCall(n, names); why != "" && quiet(pkg, r) {
				say(n.Pos(), why)
			}
		}
		return true
	})
}

// localNames maps the name a file uses for each import to its path.
func localNames(f *ast.File) map[string]string {
	names := map[string]string{}
	for _, spec := range f.Imports {
		to, _ := strconv.Unquote(spec.Path.Value)
		name := path.Base(to)
		if name == "v2" {
			name = path.Base(path.Dir(to))
		}
		if spec.Name != nil {
			name = spec.Name.Name
		}
		names[name] = to
	}
	return names
}

// checkCall finds the calls that reach the world through a package that is
// otherwise harmless.
func checkCall(call *ast.CallExpr, names map[string]string) string {
	sel, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		if id, ok := call.Fun.(*ast.Ident); ok && (id.Name == "println" || id.Name == "print") {
			return "prints to the standard error: hand the text back"
		}
		return ""
	}
	from := ""
	if id, ok := sel.X.(*ast.Ident); ok {
		from = names[id.Name]
	}
	fn := sel.Sel.Name
	switch {
	case from == "math/rand/v2" && !strings.HasPrefix(fn, "New"):
		return "calls rand." + fn + ", which nobody can seed: take a source as an argument"
	case from == "fmt" && slices.Contains([]string{"Print", "Println", "Printf", "Scan", "Scanln", "Scanf"}, fn):
		return "calls fmt." + fn + ": take a reader or a writer as an argument"
	case from == "context" && slices.ContainsFunc([]string{"WithTimeout", "WithDeadline", "AfterFunc"}, func(w string) bool { return strings.HasPrefix(fn, w) }):
		return "calls context." + fn + ", which starts a clock: take a context as an argument"
	case from == "" && fn == "Go" && len(call.Args) == 1:
		return "starts a goroutine by Go: levels 0 to 5 start none"
	}
	return ""
}
