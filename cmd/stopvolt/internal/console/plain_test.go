package console

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"testing"

	"github.com/spf13/pflag"
)

// What the libraries say about a mistake is told in plain words, and still names
// the mistake.
func TestMessagesHaveNoWordsOfTheLibraries(t *testing.T) {
	flags := pflag.NewFlagSet("x", pflag.ContinueOnError)
	flags.Float64Slice("numbers", nil, "")
	_, large := strconv.ParseFloat("1e999", 64)
	var s struct{ N int }
	for _, c := range []struct {
		err   error
		names string
	}{
		{flags.Parse([]string{"--numbers", "1,two"}), `"two" is not a number`},
		{large, `"1e999" is too large`},
		{context.Canceled, "interrupted"},
		{context.DeadlineExceeded, "too long"},
		{json.Unmarshal([]byte(`{"N":"a"}`), &s), "a string stands where"},
		{fmt.Errorf("part.csv: %w", io.ErrUnexpectedEOF), "part.csv: it ends in the middle"},
	} {
		got := Plain(c.err.Error())
		if !strings.Contains(got, c.names) {
			t.Errorf("%q does not say %q", got, c.names)
		}
		for _, word := range []string{"strconv", "context", "json:", "Go ", "EOF", "struct field"} {
			if strings.Contains(got, word) {
				t.Errorf("%q has the word %q", got, word)
			}
		}
	}
}
