package study_test

import (
	"strings"
	"testing"

	"cupel/internal/board"
	"cupel/internal/board/ipcd356"
	"cupel/internal/dossier/demo"
	"cupel/internal/ringout"
	"cupel/internal/study"
)

// TestNetsBySlicing cuts the exported records by column numbers and holds them
// against board.yaml: every pin of every part, on its net.
func TestNetsBySlicing(t *testing.T) {
	for _, name := range demo.Names() {
		d := read(t, name)
		a, err := study.Nets(d)
		if err != nil {
			t.Fatal(err)
		}
		alias := map[string]string{}
		whole := map[string]string{}
		got := map[string]map[string]bool{} // nets by part
		records := 0
		for line := range strings.Lines(a.Records) {
			line = strings.TrimSuffix(line, "\n")
			switch {
			case len([]rune(line)) != 80:
				t.Errorf("%s: %d columns: %q", name, len(line), line)
			case strings.HasPrefix(line, "P  NNAME"):
				f := strings.Fields(line)
				alias[f[1]] = f[2]
			case strings.HasPrefix(line, "C  WHOLE NAME"):
				f := strings.Fields(line)
				whole[f[3]] = f[4]
			case line[:3] == "327" || line[:3] == "317":
				records++
				net, ref := strings.TrimSpace(line[3:17]), strings.TrimSpace(line[20:26])
				if n, ok := alias[net]; ok {
					net = n
				}
				if r, ok := whole[ref]; ok {
					ref = r
				}
				if got[ref] == nil {
					got[ref] = map[string]bool{}
				}
				got[ref][net] = true
			}
		}
		if records != a.Pads || records == 0 {
			t.Errorf("%s: %d records for %d pads", name, records, a.Pads)
		}
		for i := range d.Board.Parts {
			p := &d.Board.Parts[i]
			refs := []string{p.Ref}
			if p.Count > 1 {
				refs = []string{p.Ref + ".1", p.Ref + ".2"}
			}
			for _, ref := range refs {
				for _, pin := range p.Pins {
					if net := netName(d.Board, pin.Net); net != "" && !got[ref][net] {
						t.Errorf("%s: %s.%s is not on %s", name, ref, pin.Name, net)
					}
				}
			}
		}
		for _, p := range d.Board.Pads {
			if !got[p.Name][netName(d.Board, p.Net)] {
				t.Errorf("%s: pad %s is not on its net: %v", name, p.Name, got[p.Name])
			}
		}
	}
}

// TestNetsReadBack: our own reader finds the same nets.
func TestNetsReadBack(t *testing.T) {
	d := read(t, "sluice-5s")
	a, err := study.Nets(d)
	if err != nil {
		t.Fatal(err)
	}
	f, list := ipcd356.Read("x.356", []byte(a.Records))
	if len(list) > 0 || len(f.Pads) != a.Pads || f.Job != "sluice-5s" {
		t.Fatalf("%d pads of %d, %v", len(f.Pads), a.Pads, list)
	}
	nets := f.Nets()
	if len(nets) != len(d.Board.Nets) || a.Nets != len(nets) {
		t.Errorf("%d nets, the board has %d", len(nets), len(d.Board.Nets))
	}
	for _, n := range nets {
		if d.Board.Net(n.Name) < 0 {
			t.Errorf("no net %q on the board", n.Name)
		}
	}
}

// TestNetsTakePlaces: where pads.csv says where a pad lies, its record does.
func TestNetsTakePlaces(t *testing.T) {
	d := read(t, "hive-3s")
	d.Pads = []ringout.PadRow{
		{Name: "R1.2", Side: ringout.Bottom, At: &ringout.Point{X: 25.4, Y: -2.54}},
		{Name: "via7", Side: ringout.Both, At: &ringout.Point{X: 1, Y: 2}},
	}
	a, err := study.Nets(d)
	if err != nil {
		t.Fatal(err)
	}
	placed := map[string]string{}
	for line := range strings.Lines(a.Records) {
		if line[:2] == "31" || line[:2] == "32" {
			placed[strings.TrimSpace(line[20:31])] = line[:17] + line[38:57]
		}
	}
	for pad, want := range map[string]string{
		"R1    -2": "327supply        A02X+010000Y-001000",
		"via7":     "317N/C           A00X+000394Y+000787",
		"R1    -1": "327tap3          A01X+000000Y+000000",
	} {
		if placed[pad] != want {
			t.Errorf("%s: %q, want %q", pad, placed[pad], want)
		}
	}
	if a.Unplaced != a.Pads-2 {
		t.Errorf("%d of %d pads have no place", a.Unplaced, a.Pads)
	}
}

func netName(b *board.Board, id board.NetID) string {
	if id == board.NoNet {
		return ""
	}
	return b.Nets[id].Name
}
