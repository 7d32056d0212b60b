package report

import (
	"html/template"

	"cupel/internal/answer"
	"cupel/internal/protection"
	"cupel/internal/report/plot"
)

// sweepStep is one resistance of the short's sweep.
type sweepStep struct {
	at    string // cell voltage, as the line's name
	ohms  float64
	off   *answer.Result
	stage string
}

// sweepFigures draws how long a short lasts over its resistance, one line a
// cell voltage, with a shape for what cut it.
func sweepFigures(rs []answer.Result) []figureView {
	steps := sweepSteps(rs)
	if len(steps) == 0 {
		return nil
	}
	f := plot.Figure{
		ID: "sweep", Title: "Time to off over the short's resistance",
		Desc: "Double logarithmic; one line a cell voltage; the shape of a point says what cut the current. The table below has the figures.",
		X:    plot.Axis{Name: "resistance of the short", Unit: "Ω", Log: true},
	}
	p := plot.Panel{Y: plot.Axis{Name: "time to off", Unit: "s", Log: true}}
	var shapes stageShapes
	for _, s := range steps {
		y, shape := uncutSeconds, plot.Ring
		if s.off.Value != nil {
			y, shape = *s.off.Value, shapes.of(s.stage)
		} else if s.off.SearchedTo != nil {
			y = *s.off.SearchedTo
		}
		n := len(p.Lines) - 1
		if n < 0 || p.Lines[n].Name != s.at {
			p.Lines = append(p.Lines, plot.Line{Name: s.at})
			n++
		}
		p.Lines[n].X, p.Lines[n].Y = append(p.Lines[n].X, s.ohms), append(p.Lines[n].Y, y)
		p.Points = append(p.Points, plot.Point{X: s.ohms, Y: y, Shape: shape})
	}
	f.Panels = []plot.Panel{p}
	return []figureView{{Title: f.Title, Caption: shapes.caption(), SVG: template.HTML(f.SVG())}}
}

// uncutSeconds is where a short stands that was never cut, if the answer does
// not say how long was watched.
const uncutSeconds = 30e-3

// sweepSteps collects the steps in order.
func sweepSteps(rs []answer.Result) []sweepStep {
	var out []sweepStep
	at, load := byCondition("cell voltage"), byCondition("short's resistance")
	for i, r := range rs {
		if !takes(protection.LoadShort, protection.TimeToOff)(r) || r.Step == "" {
			continue
		}
		ohms := load.of(r)
		if len(ohms) == 0 {
			continue
		}
		s := sweepStep{at: at.of(r).String(), ohms: *ohms[0].value, off: &rs[i]}
		for _, o := range rs {
			if takes(protection.LoadShort, protection.Stage)(o) && o.Step == r.Step && at.of(o).String() == s.at {
				s.stage = string(o.Word)
			}
		}
		out = append(out, s)
	}
	return out
}

// stageShapes gives each stage a shape as they come.
type stageShapes []string

var shapeMarks = []string{"●", "■", "▲", "×"}

var shapes = []plot.Shape{plot.Dot, plot.Square, plot.Triangle, plot.Cross}

func (s *stageShapes) of(stage string) plot.Shape {
	for i, known := range *s {
		if known == stage {
			return shapes[i%len(shapes)]
		}
	}
	*s = append(*s, stage)
	return shapes[(len(*s)-1)%len(shapes)]
}

func (s stageShapes) caption() phrase {
	out := say("○ not cut while it was watched")
	for i, stage := range s {
		out = list("; ", say(shapeMarks[i%len(shapeMarks)]+" cut by "+stage), out)
	}
	return out
}
