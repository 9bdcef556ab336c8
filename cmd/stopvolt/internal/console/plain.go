package console

import (
	"regexp"
	"strings"
)

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
	{regexp.MustCompile(`(?:toml: )?cannot decode TOML (\w+) into struct field \S+ of type \S+`), "a TOML $1 stands where something else is needed"},
	{regexp.MustCompile(`listen tcp[46]?: address (\S+): invalid port`), "$1 is no port; one from 0 to 65535 is needed"},
	{regexp.MustCompile(`listen tcp[46]?(?: \S+)?: (?:bind|lookup \S+(?: on \S+)?|address \S+): `), "nothing can listen there: "},
	{regexp.MustCompile(`unexpected EOF`), "it ends in the middle"},
}

// Plain says a message without the words of the language's libraries.
func Plain(message string) string {
	for _, w := range libraryWords {
		message = w.is.ReplaceAllString(message, w.says)
	}
	return plainFiles(message)
}

// fileWords are what the library says of a file that could not be used: what was
// tried, its name, and the system's reason.
var fileWords = regexp.MustCompile(`\b(open|read|write|mkdir|stat|lstat|readlink|rename|remove|unlinkat|fdopendir|readdirent|chmod|sync|close) ([^\n]+?): ` +
	`(no such file or directory|is a directory|not a directory|permission denied|operation not permitted|file name too long|too many levels of symbolic links|no space left on device|read-only file system|invalid argument|file exists|directory not empty|device or resource busy|input/output error|no such device or address|broken pipe|bad file descriptor|too many open files|file already closed)`)

// plainFiles names first the file that could not be used, and once.
func plainFiles(message string) string {
	var b strings.Builder
	rest := message
	for {
		at := fileWords.FindStringSubmatchIndex(rest)
		if at == nil {
			b.WriteString(rest)
			return b.String()
		}
		tried, name, reason := rest[at[2]:at[3]], rest[at[4]:at[5]], rest[at[6]:at[7]]
		before := rest[:at[0]]
		b.WriteString(before)
		if !strings.HasSuffix(before, name+": ") {
			b.WriteString(name + ": ")
		}
		switch tried {
		case "open":
			b.WriteString("cannot be opened: ")
		case "read", "readdirent", "fdopendir":
			b.WriteString("cannot be read: ")
		case "write", "sync", "close", "rename", "chmod":
			b.WriteString("cannot be written: ")
		case "mkdir":
			b.WriteString("cannot be made: ")
		default:
			b.WriteString("cannot be used: ")
		}
		b.WriteString(reason)
		rest = rest[at[1]:]
	}
}
