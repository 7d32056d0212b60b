package pages

func overviewPage() *page {
	return &page{name: "overview", links: overviewLinks, show: showOverview}
}

func overviewLinks(v *visit) []link { return nil }

func showOverview(v *visit) (string, any, error) {
	if v.State.Empty() {
		return v.T("overview.first.empty"), nil, nil
	}
	return v.board(), nil, nil
}
