package console

import "regexp"

// libraryWords are what messages of the language's libraries look like, with what
// they mean to a person.
var libraryWords = []struct {
	is   *regexp.Regexp
	says string
}{
	{regexp.MustCompile(`strconv\.\w+: parsing ("(?:[^"\\]|\\.)*"): value out of range`), "$1 is too large for a number"},
	{regexp.MustCompile(`strconv\.\w+: parsing ("(?:[^"\\]|\\.)*"): invalid syntax`), "$1 is not a number"},
	{regexp.MustCompile(`context canceled`), "it was interrupted"},
	{regexp.MustCompile(`context deadline exceeded`), "it took too long"},
	{regexp.MustCompile(`json: cannot unmarshal (\w+) into Go (?:struct field \S+|value) of type \S+`), "a $1 stands where something else is needed"},
	{regexp.MustCompile(`unexpected EOF`), "it ends in the middle"},
}

// Plain says a message without the words of the language's libraries.
func Plain(message string) string {
	for _, w := range libraryWords {
		message = w.is.ReplaceAllString(message, w.says)
	}
	return message
}
