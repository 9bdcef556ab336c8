package reader

import (
	"archive/zip"
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/xuri/excelize/v2"

	"stopvolt/instrument/run"
)

// A page is one sheet of a workbook to be made.
type page struct {
	name string
	rows [][]any
}

// workbook makes an .xlsx file, and lets change, if it is not nil, do more to
// it.
func workbook(t testing.TB, change func(*excelize.File), pages ...page) []byte {
	t.Helper()
	book := excelize.NewFile()
	defer book.Close()
	for i, p := range pages {
		if i == 0 {
			if err := book.SetSheetName("Sheet1", p.name); err != nil {
				t.Fatal(err)
			}
		} else if _, err := book.NewSheet(p.name); err != nil {
			t.Fatal(err)
		}
		for j, row := range p.rows {
			at, err := excelize.CoordinatesToCellName(1, j+1)
			if err == nil {
				err = book.SetSheetRow(p.name, at, &row)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
	}
	if change != nil {
		change(book)
	}
	var b bytes.Buffer
	if err := book.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// bench is a sheet with a curve; the voltage at its third reading is given.
func bench(third any) [][]any {
	return [][]any{{"Retarding voltage [V]", "Current [pA]"}, {0, 300.25}, {0.5, 120}, {third, -2}}
}

func TestWorkbooksReadLikeText(t *testing.T) {
	want := []run.Reading{{Retarding: 0, Current: 300.25e-12}, {Retarding: 0.5, Current: 120e-12}, {Retarding: 1.25, Current: -2e-12}}
	summary := page{"summary", [][]any{{"wavelength_nm", "stopping_V"}, {405, 0.7}, {546, 0.1}}}
	for _, test := range []struct {
		claim   string
		pages   []page
		change  func(*excelize.File)
		options Options
		guesses string
	}{
		{claim: "one sheet", pages: []page{{"bench", bench(1.25)}}, guesses: "wavelength"},
		{claim: "the sheet with a current is found", pages: []page{summary, {"405 nm", bench(1.25)}}, guesses: "wavelength"},
		{claim: "a sheet is asked for", pages: []page{{"546 nm", bench(9)}, {"405 nm", bench(1.25)}}, options: Options{Sheet: "405 NM"}, guesses: "wavelength"},
		{claim: "the first of two is a guess", pages: []page{{"first", bench(1.25)}, {"second", bench(9)}}, guesses: "sheet wavelength"},
		{claim: "hidden sheets are not looked at", pages: []page{{"old", bench(9)}, {"new", bench(1.25)}},
			change: func(f *excelize.File) { f.SetActiveSheet(1); _ = f.SetSheetVisible("old", false) }, guesses: "wavelength"},
		{claim: "columns by letters", pages: []page{{"bench", [][]any{{"a", "b", "c"}, {1, 300.25, 0}, {2, 120, 0.5}, {3, -2, 1.25}}}},
			options: Options{VoltageColumn: "C", CurrentColumn: "B", VoltageUnit: "V", CurrentUnit: "pA", VoltageSign: 1}, guesses: "wavelength"},
		{claim: "decimal commas typed as text", pages: []page{{"bench", bench("1,25")}}, guesses: "decimal wavelength"},
		{claim: "a fault of a formula in a row that can be left out", pages: []page{{"bench", append(bench(1.25), []any{1.5, "#DIV/0!"}, []any{"#N/A", 3})}}, guesses: "wavelength"},
		{claim: "a table lower down, notes at the side", pages: []page{{"bench", [][]any{
			{"Photocell of bench 4"}, nil, {"", "Retarding voltage [V]", "Current [pA]"}, {"", 0, 300.25, "", "lamp warm"}, {"", 0.5, 120}, {"", 1.25, -2},
		}}}, guesses: "wavelength"},
		{claim: "digits that the format hides", pages: []page{{"bench", bench(1.25)}}, guesses: "wavelength", change: func(f *excelize.File) {
			style, err := f.NewStyle(&excelize.Style{NumFmt: 1}) // "0"
			if err == nil {
				err = f.SetCellStyle("bench", "A2", "B4", style)
			}
			if err != nil {
				t.Fatal(err)
			}
		}},
	} {
		t.Run(test.claim, func(t *testing.T) {
			content := workbook(t, test.change, test.pages...)
			r, guesses, err := Read([]Source{{Name: "405.xlsx", Reader: bytes.NewReader(content)}}, test.options)
			if err != nil {
				t.Fatal(err)
			}
			if len(r.Curves) != 1 || r.Curves[0].Wavelength != 405 {
				t.Fatalf("got %v, want one curve at 405 nm", r.Curves)
			}
			if diff := cmp.Diff(want, r.Curves[0].Readings, nearly); diff != "" {
				t.Errorf("readings (-want +got):\n%s", diff)
			}
			wantGuesses(t, guesses, test.guesses, "")
		})
	}
}

func TestASheetForEachWavelength(t *testing.T) {
	content := workbook(t, nil, page{"405 nm", bench(1.25)}, page{"5460 Å", bench(1)}, page{"dark", bench(1)}, page{"notes", [][]any{{"warm-up 20 min"}}})
	r, _, err := Read([]Source{{Name: "run.xlsx", Reader: bytes.NewReader(content)}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	type light struct {
		setting string
		nm      float64
		dark    bool
	}
	var got []light
	for _, c := range r.Curves {
		got = append(got, light{c.Setting, c.Wavelength, c.Dark})
	}
	want := []light{{"405 nm", 405, false}, {"5460 Å", 546, false}, {"dark", 0, true}}
	if diff := cmp.Diff(want, got, cmp.AllowUnexported(light{})); diff != "" {
		t.Errorf("curves (-want +got):\n%s", diff)
	}
}

// testdata/sheets.xlsx was written by another library than the one that reads
// it; see testdata/README.md.
func TestWorkbooksOfAnotherWriter(t *testing.T) {
	r, _, err := ReadFiles([]string{"testdata/sheets.xlsx"}, nil, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range []struct {
		setting string
		nm, pA  float64
	}{{"violet 404.7 nm", 404.7, 300}, {"green 546.1 nm", 546.1, 100}} {
		c := r.Curves[k]
		if c.Setting != want.setting || c.Wavelength != want.nm || len(c.Readings) != 6 {
			t.Fatalf("curve %d is %v", k, c)
		}
		for i, got := range c.Readings {
			x := 1 - float64(i)/5
			expected := run.Reading{Retarding: 0.25 * float64(i), Current: want.pA * 1e-12 * x * x}
			if diff := cmp.Diff(expected, got, cmpopts.EquateApprox(1e-12, 1e-25)); diff != "" {
				t.Errorf("%s, reading %d (-want +got):\n%s", c.Setting, i, diff)
			}
		}
	}
}

func TestFaultsOfWorkbooksNameTheCell(t *testing.T) {
	day := time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC)
	for _, test := range []struct {
		claim   string
		pages   []page
		options Options
		want    string
	}{
		{"text", []page{{"bench", bench("abc")}}, Options{}, `405.xlsx:4:1: sheet "bench", cell A4: "abc" is not a number; a voltage in V is needed`},
		{"a number that became a day", []page{{"bench", bench(day)}}, Options{}, `405.xlsx:4:1: sheet "bench", cell A4: "01-05-26" is a date, as spreadsheets make of numbers; a voltage in V is needed: format the cells as numbers and type them again`},
		{"no such sheet", []page{{"bench", bench(1)}}, Options{Sheet: "run"}, `405.xlsx: has no sheet "run" as --sheet asks; there are "bench"`},
		{"no numbers", []page{{"bench", [][]any{{"Retarding voltage [V]", "Current [pA]"}}}}, Options{}, "405.xlsx: has no sheet with a row of two numbers; a table of voltage and current is needed"},
	} {
		_, _, err := Read([]Source{{Name: "405.xlsx", Reader: bytes.NewReader(workbook(t, nil, test.pages...))}}, test.options)
		if err == nil || err.Error() != test.want {
			t.Errorf("%s:\ngot  %v\nwant %s", test.claim, err, test.want)
		}
	}
}

func TestDaysOfEveryFormatAreNamedAsSuch(t *testing.T) {
	// The built-in formats of days and times in ECMA-376, part 1, 18.8.30.
	for _, format := range []int{14, 15, 16, 17, 18, 20, 22} {
		content := workbook(t, func(f *excelize.File) {
			style, err := f.NewStyle(&excelize.Style{NumFmt: format})
			if err == nil {
				err = f.SetCellStyle("bench", "A4", "A4", style)
			}
			if err != nil {
				t.Fatal(err)
			}
		}, page{"bench", bench(46027)})
		_, _, err := Read([]Source{{Name: "405.xlsx", Reader: bytes.NewReader(content)}}, Options{})
		if err == nil || !strings.Contains(err.Error(), "is a date") {
			t.Errorf("format %d: got %v", format, err)
		}
	}
}

func TestTablesOfStoppingVoltagesInWorkbooks(t *testing.T) {
	content := workbook(t, nil, page{"405 nm", bench(1.25)}, page{"summary", [][]any{{"λ (nm)", "U (V)"}, {404.7, 0.73}, {365, 1.09}}})
	rows, _, err := ReadTable(Source{Name: "t.xlsx", Reader: bytes.NewReader(content)}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := []StoppingVoltage{{Line: 2, Wavelength: 404.7, Stopping: 0.73}, {Line: 3, Wavelength: 365, Stopping: 1.09}}
	if diff := cmp.Diff(want, rows); diff != "" {
		t.Errorf("rows (-want +got):\n%s", diff)
	}
}

// packed makes an archive with one part swapped for another content.
func packed(t testing.TB, book []byte, part string, content []byte) []byte {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for _, f := range in.File {
		if f.Name != part {
			if err := out.Copy(f); err != nil {
				t.Fatal(err)
			}
		}
	}
	w, err := out.Create(part)
	if err == nil {
		_, err = w.Write(content)
	}
	if err == nil {
		err = out.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestSmallArchivesOfHugeContentAreRefused(t *testing.T) {
	book := workbook(t, nil, page{"bench", bench(1.25)})
	for _, test := range []struct {
		claim, part string
		content     []byte
	}{
		{"a sheet without end", "xl/worksheets/sheet1.xml", bytes.Repeat([]byte{' '}, largestSheet+1)},
		{"texts without end", "xl/sharedStrings.xml", bytes.Repeat([]byte{' '}, largestPart+1)},
		{"cells far out", "xl/worksheets/sheet1.xml", []byte(`<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>` +
			strings.Repeat(`<row><c r="XFD1"><v>1</v></c><c><v>1</v></c></row>`, 2000) + `</sheetData></worksheet>`)},
	} {
		bomb := packed(t, book, test.part, test.content)
		if _, _, err := Read([]Source{{Name: "405.xlsx", Reader: bytes.NewReader(bomb)}}, Options{}); err == nil {
			t.Errorf("%s: read without an error", test.claim)
		} else if strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %q is more than a line", test.claim, err)
		}
	}
}

func TestDamagedWorkbooksAreFaultsAndNoPanics(t *testing.T) {
	book := workbook(t, nil, page{"bench", bench(1.25)})
	parts := []string{"xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml", "[Content_Types].xml", "xl/_rels/workbook.xml.rels"}
	for _, part := range parts {
		for _, content := range []string{"", "<", "<a/>", "<worksheet><sheetData><row r='-1'><c r='A0' s='99' t='s'><v>7</v></c></row></sheetData></worksheet>"} {
			_, _, err := Read([]Source{{Name: "405.xlsx", Reader: bytes.NewReader(packed(t, book, part, []byte(content)))}}, Options{})
			var fault *Error
			if err != nil && !errors.As(err, &fault) || err != nil && strings.Contains(err.Error(), "no program") {
				t.Errorf("%s of %q: %v, want no panic of the library and an *Error", part, content, err)
			}
		}
	}
	for i := 0; i < len(book); i += 97 {
		if _, _, err := Read([]Source{{Name: "405.xlsx", Reader: bytes.NewReader(book[:i])}}, Options{}); err == nil {
			t.Errorf("a workbook cut at byte %d of %d reads without an error", i, len(book))
		}
	}
}

// sheetXML is the beginning of a sheet with headings and two readings, and what
// follows.
func sheetXML(rows string) []byte {
	return []byte(`<?xml version="1.0" encoding="UTF-8"?>` + "\n" + `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>` +
		`<row r="1"><c r="A1" t="inlineStr"><is><t>retarding_V</t></is></c><c r="B1" t="inlineStr"><is><t>current_pA</t></is></c></row>` + "\n" +
		`<row r="2"><c r="A2"><v>0</v></c><c r="B2"><v>300</v></c></row>` + "\n" + `<row r="3"><c r="A3"><v>0.5</v></c><c r="B3"><v>120</v></c></row>` + "\n" + rows)
}

func TestASheetThatIsCutOrDamagedIsNotReadUpToTheBreak(t *testing.T) {
	book := workbook(t, nil, page{"bench", bench(1.25)})
	read := func(rows string) error {
		_, _, err := Read([]Source{{Name: "405.xlsx", Reader: bytes.NewReader(packed(t, book, "xl/worksheets/sheet1.xml", sheetXML(rows)))}}, Options{})
		return err
	}
	const end = `</sheetData></worksheet>`
	if err := read(end); err != nil {
		t.Fatalf("a whole sheet is refused: %v", err)
	}
	for claim, rows := range map[string]string{
		"cut in a number":             `<row r="4"><c r="A4"><v>1.2`,
		"cut in a row":                `<row r="4"><c r="A4"><v>1.25</v></c>`,
		"cut between rows":            ``,
		"a tag that is not closed":    `<row r="4"><c r="A4"><v>1.25</c></row>` + end,
		"an entity that is none":      `<row r="4"><c r="A4"><v>&nothing;</v></c></row>` + end,
		"a row again":                 `<row r="3"><c r="A3"><v>1.25</v></c><c r="B3"><v>2</v></c></row>` + end,
		"a cell again":                `<row r="4"><c r="A4"><v>1.25</v></c><c r="A4"><v>2</v></c></row>` + end,
		"a text that is not there":    `<row r="4"><c r="A4"><v>1.25</v></c><c r="B4" t="s"><v>99</v></c></row>` + end,
		"a cell that no sheet has":    `<row r="4"><c r="4A"><v>1.25</v></c><c r="B4"><v>2</v></c></row>` + end,
		"bytes behind the last thing": end + `<`,
	} {
		err := read(rows)
		var fault *Error
		if !errors.As(err, &fault) || !strings.HasPrefix(err.Error(), "405.xlsx: is damaged") {
			t.Errorf("%s: got %v", claim, err)
		}
	}
}

// A change of one byte in the packed sheet is seen by its checksum, if by
// nothing before, or else changes nothing, as that of a mark of the packing.
func TestAChangedByteOfASheetIsSeen(t *testing.T) {
	content := packed(t, workbook(t, nil, page{"bench", bench(1.25)}), "xl/worksheets/sheet1.xml", sheetXML(`</sheetData></worksheet>`))
	archive, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		t.Fatal(err)
	}
	read := func(content []byte) (run.Run, error) {
		r, _, err := Read([]Source{{Name: "405.xlsx", Reader: bytes.NewReader(content)}}, Options{})
		return r, err
	}
	whole, err := read(content)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range archive.File {
		if part.Name != "xl/worksheets/sheet1.xml" {
			continue
		}
		from, err := part.DataOffset()
		if err != nil {
			t.Fatal(err)
		}
		for i := from; i < from+int64(part.CompressedSize64); i++ {
			broken := bytes.Clone(content)
			broken[i] ^= 1
			if r, err := read(broken); err == nil && !cmp.Equal(r, whole) {
				t.Errorf("byte %d changed the readings, and nobody saw it", i-from)
			}
		}
	}
}

// FuzzWorkbook puts any bytes in the place of a sheet.
func FuzzWorkbook(f *testing.F) {
	book := workbook(f, nil, page{"bench", bench(1.25)})
	const open, end = `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`, `</sheetData></worksheet>`
	f.Add([]byte(open + `<row r="1"><c r="A1" t="inlineStr"><is><t>V</t></is></c><c r="B1" t="s"><v>0</v></c></row><row r="3"><c><v>1</v></c><c r="B3" s="1"><f>A1</f><v>2e-9</v></c></row>` + end))
	f.Add([]byte(open + `<row r="-1"><c r="A0" s="99" t="s"><v>7</v></c></row>` + end))
	f.Fuzz(func(t *testing.T, sheet []byte) {
		content := packed(t, book, "xl/worksheets/sheet1.xml", sheet)
		_, _, err := Read([]Source{{Name: "405.xlsx", Reader: bytes.NewReader(content)}}, Options{})
		var fault *Error
		if err != nil && !errors.As(err, &fault) {
			t.Fatalf("error %v of type %T, want *Error", err, err)
		}
	})
}
