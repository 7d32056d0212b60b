package pages

// lan lets other devices in.
type lan struct{}

// devices are the other devices that are in; on says that some may come.
func (s *Server) devices() (on bool, in []string) { return s.lan != nil, nil }
