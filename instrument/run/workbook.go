package run

// readWorkbook reads a workbook (.xlsx).
func readWorkbook(text []byte, name string, o Options) (*table, error) {
	return nil, &Error{File: name, Text: "is a workbook; save the sheet as CSV"}
}
