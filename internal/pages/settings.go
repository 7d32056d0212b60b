package pages

func settingsPage() *page {
	return &page{name: "settings", outside: true, show: showSettings, actions: map[string]action{"away": {do: sendAway}}}
}

// settings is what the page's template shows.
type settings struct {
	Languages []*language
	Devices   []device
	Choices   []knob
}

// knob is one thing a browser can be set to.
type knob struct {
	Name, Value string   // of the field, and what it is set to
	Words       []string // what it can be set to
}

func showSettings(v *visit) (string, any, error) {
	return v.T("settings.first"), settings{
		Languages: v.s.tags(), Devices: v.s.inside(),
		Choices: []knob{
			{"theme", v.Theme, []string{"", "light", "dark"}},
			{"comma", v.Comma, []string{"", "point", "comma"}},
			{"letters", v.Letters, []string{"", "off"}},
			{"sound", v.Sound, []string{"", "on"}},
			{"foot", v.Foot, []string{"", "on"}},
		},
	}, nil
}

// sendAway takes a device's leave to come in.
func sendAway(v *visit) error {
	if v.device != "" {
		return v.sorry("lan.away.own")
	}
	v.s.sendAway(v.field("device"))
	return v.done("", nil)
}
