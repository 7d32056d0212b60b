package pages

func textsPage() *page {
	return &page{name: "texts", outside: true, show: showTexts}
}

func showTexts(v *visit) (string, any, error) {
	return v.T("texts.first"), nil, nil
}
