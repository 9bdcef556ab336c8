package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"stopvolt/cmd/stopvolt/internal/console"
)

// libraryWords are those of the language and its libraries, which say nothing to
// a person at a bench.
var libraryWords = regexp.MustCompile(`strconv|context (canceled|deadline)|struct field|(^|\s)(json|toml|xml|zip|csv|age): |\bEOF\b|invalid syntax|[uU]nmarshal|cannot decode|` +
	`\bnil\b|<nil>|runtime error|goroutine|panic|reflect|interface \{|\b(open|read|write|stat|lstat|mkdir|rename) [^ ]+: |excelize|scrypt|parsing time|encoding/|%!|listen tcp|Go value|` +
	`\bmap\[|\bpractice\.[A-Z]|\b(float|int|uint)(32|64)\b`)

// hostileFiles are what may stand where a command looks for a file of its own.
func hostileFiles(t *testing.T) (in func(name string) string) {
	t.Helper()
	dir := t.TempDir()
	in = func(name string) string { return filepath.Join(dir, name) }
	run := func(words ...string) {
		t.Helper()
		var told bytes.Buffer
		if code := execute(context.Background(), console.New(strings.NewReader(""), io.Discard, &told), words); code != console.Done {
			t.Fatalf("stopvolt %s: %s", strings.Join(words, " "), told.String())
		}
	}
	for name, text := range map[string]string{
		"empty": "", "binary.csv": "\xff\xfe\x00\x01", "damaged.xlsx": "PK\x03\x04garbage", "brace.json": "{", "null.json": "null", "list.json": "[1]",
		"types.json": `{"methods":[{"factor":"a"}],"benches":"b"}`, "huge.json": `{"benches":1e999}`,
		"quote.csv": "wavelength_nm,stopping_V\n365,\"1\n", "words.csv": "retarding_V,current_A\n0.1,1e-12\n0.2,plenty\n",
		"range.csv": "retarding_V,current_A\n0.1,1e-12\n0.2,1e999\n", "brace.toml": "{", "type.toml": "[emitter]\nwork_function_eV = [1]\n",
		"cut.toml": "[emitter\n", "utf8.toml": "\xff = 1\n", "date.toml": "[emitter]\nwork_function_eV = 2020-01-01\n", "number.toml": "[emitter]\nwork_function_eV = 1e\n",
		"twice.toml": "[emitter]\nyield = 1\nyield = 2\n", "scheme.toml": "points = nan\n", "case.toml": "[Points]\nline = 1\n", "line.toml": "[points]\nline = \"a\"\n",
		"passphrase": "four words of straw\n", "short": "x\n",
		"class.csv": "student_id,name\na,Ann\n", "wide.csv": "student_id,name\na,Ann,1,27\n", "twice.csv": "student_id,name,name\na,Ann,Bob\n",
		"extra.csv": "student_id,minutes\nq,10\n", "part.json": "{\"sha256\":\"x\"}\n{}\n", "ledger.csv": "date,bench\nsoon,a\n", "minus.csv": "date,bench,lamp_hours\n2025-01-01,a,-1\n",
		"two.csv": "date,bench,current_365nm_A,current_365.0nm_A\n", "term.csv": "group,bench,file,group\ng,b,run.csv,h\n", "dated.csv": "group,bench,file,date\ng,b,run.csv,soon\n",
		"good.csv": "group,bench,file\ng,b,run.csv\n", "three.csv": "wavelength_nm,stopping_V\n365,1.27\n405,0.93\n436,0.7\n546,0.14\n",
	} {
		if err := os.WriteFile(in(name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(in("folder"), 0o777); err != nil {
		t.Fatal(err)
	}
	run("sweep", "--out", in("run.csv"))
	run("practice", "make", "--class", in("class.csv"), "--passphrase-file", in("passphrase"), "--out", in("set"))
	key, err := os.ReadFile(in("set/set.key"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(in("cut.key"), key[:200], 0o600); err != nil {
		t.Fatal(err)
	}
	return in
}

// Whatever a command is given instead of what it needs, it says what is wrong in
// a line of plain words, with the name of the file or flag, and ends with exit
// code 2.
func TestNoMessageHasWordsOfTheLibraries(t *testing.T) {
	in := hostileFiles(t)
	type mistake struct {
		words string
		// says is what the message must have beside, such as the name.
		says string
	}
	var all []mistake
	add := func(words, says string) { all = append(all, mistake{words, says}) }
	for _, file := range []string{"empty", "binary.csv", "damaged.xlsx", "brace.json", "quote.csv", "words.csv", "range.csv", "folder", "nowhere.csv", "nowhere/below.csv", "empty/below.csv"} {
		for _, command := range []string{"extract", "check", "match", "line", "groups"} {
			add(command+" @"+file, file)
		}
	}
	for _, file := range []string{"brace.toml", "type.toml", "cut.toml", "utf8.toml", "date.toml", "number.toml", "twice.toml", "nowhere.toml"} {
		for _, command := range []string{"sweep", "study", "plan", "rehearse --forget", "match @run.csv --population", "line @three.csv --explain --population"} {
			add(command+" @"+file, file)
		}
	}
	for _, file := range []string{"empty", "brace.json", "null.json", "list.json", "types.json", "huge.json", "part.json", "folder", "nowhere.json", "run.csv"} {
		add("merge @"+file+" @"+file, file)
		add("groups @good.csv --study @"+file, file)
	}
	for _, file := range []string{"empty", "brace.json", "folder", "nowhere.key", "run.csv", "cut.key", "empty/below.key"} {
		add("practice mark --key @"+file+" --passphrase-file @passphrase @set/answers.csv", file)
		add("practice make --again @"+file+" --passphrase-file @passphrase --out @new", file)
		add("rehearse --forget --key @"+file+" --passphrase-file @passphrase", file)
	}
	for _, file := range []string{"empty", "folder", "nowhere", "short"} {
		add("practice make --count 1 --out @new --passphrase-file @"+file, "passphrase")
	}
	for _, file := range []string{"brace.toml", "scheme.toml", "case.toml", "line.toml", "utf8.toml", "folder", "nowhere.toml"} {
		add("practice make --count 1 --out @new --passphrase-file @passphrase --scheme @"+file, file)
	}
	for _, file := range []string{"empty", "folder", "nowhere.csv", "quote.csv", "wide.csv", "twice.csv", "binary.csv"} {
		add("practice make --out @new --passphrase-file @passphrase --class @"+file, file)
	}
	mark := "practice mark --key @set/set.key --passphrase-file @passphrase @set/answers.csv "
	add(mark+"--logbooks @nowhere", "nowhere is not a folder")
	add(mark+"--logbooks @run.csv", "run.csv is not a folder")
	add(mark+"--due=2026-01-01T12:00 --extra-time @extra.csv", `student_id "q" has extra time`)
	add(mark+"--overrides @nowhere.csv", "nowhere.csv")
	for _, file := range []string{"empty", "folder", "ledger.csv", "minus.csv", "two.csv", "binary.csv", "nowhere.csv"} {
		add("groups @good.csv --ledger @"+file, file)
	}
	for words, says := range map[string]string{
		"groups @term.csv":  "a second column group",
		"groups @dated.csv": `2: the date is "soon"`,
		"check @run.csv --bench a --ledger @new.csv --lamp-hours -5":                "from 0 to",
		"check @run.csv --bench a --ledger @new.csv --lamp-hours NaN":               "from 0 to",
		"check @run.csv --bench a --ledger @new.csv --humidity 101":                 "from 0 to 100",
		"check @run.csv --bench a --ledger @new.csv --date tomorrow":                "a day is written",
		"check @run.csv --bench= --ledger @new.csv":                                 "--bench is empty",
		"check @run.csv --ledger @new.csv":                                          "name the bench by --bench",
		"check @run.csv --repair":                                                   "name the bench by --bench",
		"check --watch @nowhere":                                                    "not a folder",
		"plan --require 0":                                                          "above 0 and below 100",
		"plan --require NaN":                                                        "above 0 and below 100",
		"plan --minutes inf":                                                        "at most 1000",
		"plan --seed 1e3":                                                           `"1e3"`,
		"match @run.csv --benches 0":                                                "from 500 to",
		"match @run.csv --sheet a":                                                  "is no workbook",
		"line @three.csv --sheet a":                                                 "is no workbook",
		"line @three.csv --explain --known reverse=0.01,reverse=0.02":               "says reverse twice",
		"line @three.csv --explain --known reverse=NaN":                             "must be a number",
		"line @three.csv --explain --known Reverse=0.1":                             `"Reverse"`,
		"line @three.csv --known reverse=0.1":                                       "--explain",
		"extract @run.csv --wavelength NaN":                                         "NaN nm",
		"extract @run.csv --bootstrap many":                                         `"many"`,
		"sweep --bench -1":                                                          "counted from 0",
		"sweep --seed -1":                                                           `"-1"`,
		"sweep --set emitter.temperature_K=1e400":                                   "where a number is needed",
		"sweep --set emitter.temperature_K={half_normal=-1}":                        "above zero",
		"sweep --set Emitter.temperature_K=3":                                       "emitter is",
		"sweep --set emitter.temperature_K={uniform=[1,2],uniform=[1,3]}":           "already defined",
		"study --vary plan.step_V=a:b:c":                                            "--vary",
		"study --part 1/x":                                                          "such as 2/8",
		"study --until NaN":                                                         "--until is NaN",
		"rehearse --forget --listen 127.0.0.1:99999":                                "no port",
		"rehearse --forget --listen x":                                              "an address and a port",
		"rehearse --forget --state @folder":                                         "--state is too much",
		"floating --resistance 1e999":                                               `"1e999"`,
		"practice make --count 1e3 --out @new --passphrase-file @passphrase":        `"1e3"`,
		"practice make --count 2000000000 --out @new --passphrase-file @passphrase": "from 1 to",
		"study --replicates 99999999999999999999":                                   `"99999999999999999999"`,
		"study --out @run.csv":                                                      "name a folder",
		"check @run.csv --bench a --ledger @folder":                                 "name a file",
		"check @run.csv --bench a --ledger @run.csv/below.csv":                      "so that nothing can lie in it",
		"study --chart @run.csv/below.html":                                         "so that nothing can lie in it",
		"extract @run.csv --report @folder/new.txt":                                 ".html",
		"scenarios " + strings.Repeat("x", 300):                                     "scenario",
		"methods \x1b[2J":                                                           "method",
	} {
		add(words, says)
	}
	for _, m := range all {
		words := strings.Fields(m.words)
		for i, w := range words {
			if name, ok := strings.CutPrefix(w, "@"); ok {
				words[i] = in(name)
			}
		}
		var told bytes.Buffer
		code := execute(context.Background(), console.New(strings.NewReader(""), io.Discard, &told), words)
		lines := strings.Split(strings.TrimSuffix(told.String(), "\n"), "\n")
		last := strings.ReplaceAll(lines[len(lines)-1], in(""), "")
		wrong := func(what string) { t.Errorf("stopvolt %s: %s: exit code %d, %q", m.words, what, code, told.String()) }
		switch {
		case strings.HasPrefix(m.words, "groups @good.csv --ledger @") && code == console.Done:
			wrong("it is taken")
		case code != console.BadUse && !(code == console.Failed && strings.HasPrefix(m.words, "groups")):
			wrong("another exit code")
		case !strings.HasPrefix(lines[len(lines)-1], "stopvolt: "):
			wrong("the last line is not the program's")
		case libraryWords.MatchString(strings.ReplaceAll(told.String(), in(""), "")):
			wrong("the word " + libraryWords.FindString(strings.ReplaceAll(told.String(), in(""), "")))
		case !strings.Contains(last, m.says):
			wrong("it does not say " + m.says)
		case strings.Contains(told.String(), "\x1b"):
			wrong("a control character")
		case strings.Count(last, m.says) > 1 && strings.HasPrefix(m.says, "nowhere"):
			wrong("it names the file twice")
		}
		if _, err := os.Stat(in("new")); err == nil {
			wrong("something was written")
		}
	}
}
