package pattern

import (
	"slices"
	"strings"

	"cupel/internal/catalog"
	"cupel/internal/protection"
)

// The lines below are those that speak of parts and nets named before.

func (r *reader) cond(kind CondKind, args []string) {
	least := map[CondKind]int{CondTap: 2, CondPad: 2, CondLabel: 2, CondInner: 1, CondLone: 1, CondAbsent: 3}[kind]
	switch {
	case least == 0:
		r.fail("no line begins with %q", kind)
		return
	case len(args) < least:
		r.fail("%s needs %d words behind it", kind, least)
		return
	}
	c := Cond{Kind: kind}
	switch kind {
	case CondTap, CondLabel:
		c.Nets, c.Word = []int{r.known(args[0])}, strings.Join(args[1:], " ")
	case CondPad:
		c.Nets, c.Pads = []int{r.known(args[0])}, args[1:]
	case CondInner, CondLone:
		c.Nets = []int{r.known(args[0])}
	case CondAbsent:
		if args[0] != "any" {
			c.Part = catalog.Kind(args[0])
		}
		c.Nets = []int{r.known(args[1]), r.known(args[2])}
	}
	r.p.Conds = append(r.p.Conds, c)
}

// claim reads: V [ROLE /] PIECE: TEXT.
func (r *reader) claim(rest string) {
	head, text, ok := strings.Cut(rest, ":")
	name, piece, named := strings.Cut(strings.TrimSpace(head), " ")
	if !ok || !named {
		r.fail("is %s: write is V PIECE: what it does", head)
		return
	}
	if r.p.part(name) == nil {
		r.fail("is %s: no such part above", name)
		return
	}
	c := Claim{Var: name, Role: r.p.Role, Piece: strings.TrimSpace(piece), Text: strings.TrimSpace(text)}
	if role, piece, ok := strings.Cut(c.Piece, " / "); ok {
		c.Role, c.Piece = strings.TrimSpace(role), strings.TrimSpace(piece)
	}
	r.p.Claims = append(r.p.Claims, c)
}

func (r *reader) stimulus(rest string) {
	name, text, _ := strings.Cut(rest, ":")
	for i := range r.p.Claims {
		if c := &r.p.Claims[i]; c.Var == strings.TrimSpace(name) {
			c.Stimulus = strings.TrimSpace(text)
			return
		}
	}
	r.fail("stimulus %s: nothing is said above of what that part is", name)
}

// The effects a pattern can expect of a fault.
const (
	Loses   = "loses"
	Stops   = "stops"
	Nothing = "nothing"
)

func (r *reader) expect(args []string) {
	if len(args) < 3 || r.p.part(args[0]) == nil || !slices.Contains([]string{"open", "short"}, args[1]) {
		r.fail("expect %s: write expect V open|short and its effect", strings.Join(args, " "))
		return
	}
	e := Expect{Var: args[0], Fault: args[1], Effect: args[2], Word: strings.Join(args[3:], " ")}
	switch {
	case e.Effect == Loses && slices.Contains(protection.Trials, protection.Trial(e.Word)):
	case e.Effect == Stops && (e.Word == "discharge" || e.Word == "charge"):
	case e.Effect == Nothing && e.Word == "":
	default:
		r.fail("expect %s: an effect is loses TRIAL, stops discharge, stops charge, or nothing", strings.Join(args, " "))
		return
	}
	r.p.Expects = append(r.p.Expects, e)
}
