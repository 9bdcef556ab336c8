package console

import (
	"errors"
	"strings"
	"testing"
)

// A hidden line can be corrected before it is ended, also across a character of
// several bytes.
func TestAHiddenLineIsEditedAsItIsTyped(t *testing.T) {
	for typed, want := range map[string]string{
		"four words\r":           "four words",
		"fuor\x7f\x7f\x7four\n":  "four",
		"\x7f\x7fa\r":            "a",
		"müde\x7f\x7f\x7fohn\r":  "mohn",
		"wrong\x15right\r":       "right",
		"ended by Ctrl-D\x04":    "ended by Ctrl-D",
		"ended by the end of it": "ended by the end of it",
		"\r":                     "",
	} {
		got, err := readHidden(strings.NewReader(typed))
		if err != nil || string(got) != want {
			t.Errorf("%q is %q, %v; want %q", typed, got, err, want)
		}
	}
	var stopped Interruption
	if _, err := readHidden(strings.NewReader("abc\x03")); !errors.As(err, &stopped) {
		t.Errorf("Ctrl-C gives %v", err)
	}
	var use WrongUse
	if _, err := readHidden(strings.NewReader("\x04")); !errors.As(err, &use) {
		t.Errorf("Ctrl-D gives %v", err)
	}
}

// What a terminal would obey is shown as a box; what it shows stays.
func TestTextIsCleanedOfWhatATerminalObeys(t *testing.T) {
	for text, want := range map[string]string{
		"plain, with ends\nand\ttabs": "plain, with ends\nand\ttabs",
		"Größe −3 µA, 10⁻¹⁵":          "Größe −3 µA, 10⁻¹⁵",
		"\x1b[2Jgone":                 "\ufffd[2Jgone",
		"bell\a back\b return\r":      "bell\ufffd back\ufffd return\ufffd",
		"\u009b31m":                   "\ufffd31m",
		"\u202etxt.exe":               "\ufffdtxt.exe",
		"del\x7f":                     "del\ufffd",
		"broken \xff":                 "broken \ufffd",
	} {
		if got := Clean(text); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}
