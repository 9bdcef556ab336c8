package check

// findDark looks for a dark curve.
func findDark(s *sheet) []Finding {
	for _, c := range s.run.Curves {
		if c.Dark {
			return nil
		}
	}
	return []Finding{{
		Says: "there is no curve with the shutter closed, so that leakage and zero cannot be told from reverse current",
		Do:   "close the shutter and take five voltages over the whole range"}}
}
