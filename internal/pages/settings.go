package pages

func settingsPage() *page {
	return &page{name: "settings", outside: true, show: showSettings}
}

func showSettings(v *visit) (string, any, error) {
	return v.T("settings.first"), nil, nil
}
