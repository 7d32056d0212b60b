package protector

type stackParts struct{}

func (p *protector) sensing(w *work) bool                                 { return true }
func (p *protector) stackWork(w *work, sensed bool)                       {}
func (p *protector) stackOutputs(s *State, links []bool, sinks []float64) {}
