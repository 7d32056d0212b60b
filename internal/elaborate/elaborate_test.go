package elaborate

import (
	"testing"
)

func TestX(t *testing.T) {
	for _, f := range []string{"chain-5s.yaml", "stack-3s.yaml"} {
		c, list := elaborated(t, load(t, f))
		for _, x := range list {
			t.Errorf("%s", x)
		}
		t.Logf("%d nodes %d elements %d units", len(c.Nodes), len(c.Elements), len(c.Units))
		for _, u := range c.Units {
			t.Logf("%s %v %g %v", u.Part, u.Cells, u.Filter, u.Limits)
		}
		for _, b := range c.Banks {
			t.Logf("%s %d %v g=%s s=%s d=%s", b.Name, len(b.FETs), b.High, c.Nodes[b.Gate], c.Nodes[b.Source], c.Nodes[b.Drain])
		}
		t.Logf("mid %s", c.Nodes[c.Middle])
		for _, b := range c.Bleeds {
			t.Logf("%+v", b)
		}
		for _, b := range c.Shunts {
			t.Logf("%s %+v", b.Name(), b.Params())
		}
		t.Logf("%q", c.Assumed)
	}
}
