package pages

func limitsPage() *page {
	return &page{name: "limits", show: showLimits}
}

func showLimits(v *visit) (string, any, error) {
	return v.T("limits.first.empty"), nil, nil
}
