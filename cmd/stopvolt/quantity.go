package main

import "stopvolt/cmd/stopvolt/internal/words"

// quantity writes a value to three figures with its unit and a prefix.
func quantity(x float64, unit string) string { return words.Quantity(x, unit) }

// share writes a fraction in per cent.
func share(x float64) string { return words.Share(x) }
