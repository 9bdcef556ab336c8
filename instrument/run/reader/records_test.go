package reader_test

import (
	"math"
	"strings"
	"testing"

	"stopvolt/instrument/run/reader"
)

func records(t *testing.T, text string) (*reader.Records, error) {
	t.Helper()
	return reader.ReadRecords(reader.Source{Name: "list.csv", Reader: strings.NewReader(text)}, reader.Options{})
}

func TestRecordsTakeWhatSpreadsheetsWrite(t *testing.T) {
	for _, text := range []string{
		"id,name,x\n7,\"Åse, 2\",\"1,25\"\n",
		"\xef\xbb\xbfid;name;x\r\n7;Åse, 2;1,25\r\n",
		"id\tname\tx\n7\tÅse, 2\t1.25\n",
		"id;name;x\n7;\xc5se, 2;1,25\n", // ISO 8859-1
	} {
		r, err := records(t, text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		column, err := r.Column("X")
		if err != nil {
			t.Fatal(err)
		}
		x, half, err := r.Number(0, column)
		if r.Text(0, 1) != "Åse, 2" || x != 1.25 || half != 0.005 || err != nil {
			t.Errorf("%q: %q, %v, %v, %v", text, r.Text(0, 1), x, half, err)
		}
	}
}

func TestTheLastDigitOfANumberIsKnown(t *testing.T) {
	for text, want := range map[string]float64{
		"1.2": 0.05, "120": 0.5, "-0.50": 0.005, "4.14e-15": 0.005e-15, "4.1 x 10^-15": 0.05e-15, "0": 0.5, "0.00": 0.005, "\u22121.5": 0.05,
	} {
		r, err := records(t, "x;y\n"+text+";1\n")
		if err != nil {
			t.Fatal(err)
		}
		if _, half, err := r.Number(0, 0); err != nil || math.Abs(half-want) > 1e-9*want {
			t.Errorf("%s: half a digit of %g, %v, want %g", text, half, err, want)
		}
	}
}

func TestRecordsNameThePlaceOfAFault(t *testing.T) {
	r, err := records(t, "id,name\n7,Bo\n\n8,x\n")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.Column("student_id"); err == nil || err.Error() != "list.csv:1:1: there is no column student_id; the first row has id, name" {
		t.Error(err)
	}
	if _, _, err := r.Number(1, 1); err == nil || !strings.HasPrefix(err.Error(), `list.csv:4:3: "x" is not a number`) {
		t.Error(err)
	}
	for _, text := range []string{"", "\n\n", "a,\"b\nc"} {
		if _, err := records(t, text); err == nil {
			t.Errorf("%q was taken", text)
		}
	}
}
