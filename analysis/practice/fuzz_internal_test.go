package practice

import (
	"bytes"
	"compress/gzip"
	"testing"
)

// Whatever somebody with the passphrase writes into a key, marking by it ends with
// marks or an error.
func FuzzKeyText(f *testing.F) {
	const first = `{"schema":1,"public":{"settings":["a","b"],"step_V":0.05},"secret":"0000000000000000000000000000000000000000000000000000000000000000"}`
	for _, text := range []string{
		first + `{"student_id":"1","truth":{"h_over_e_Vs":4e-15,"settings":[{"name":"a","wavelength_nm":400,"frees_electrons":true},{"name":"b","wavelength_nm":500}]},` +
			`"curves":[{"setting":"dark","dark":true},{"setting":"a","wavelength_nm":400,"retarding_V":[0,1],"current_A":[1e-9,0],"u_current_A":[1e-12,1e-12],"time_s":[0,1],"flags":[0,0]},{"setting":"b","wavelength_nm":500}]}`,
		first + `{"student_id":"1","curves":null}`,
		first, `{}`, `[]`, ``,
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var packed bytes.Buffer
		w := gzip.NewWriter(&packed)
		if _, err := w.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		k, err := readKey(&packed)
		if err != nil {
			return
		}
		marks, err := MarkClass(k, Marking{})
		if err == nil && marks == nil && len(text) == 0 {
			t.Error("marks of nothing")
		}
	})
}
