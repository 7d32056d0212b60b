package pages

func recordPage() *page {
	return &page{name: "record", show: showRecord}
}

func showRecord(v *visit) (string, any, error) {
	return v.T("record.first.empty"), nil, nil
}
