package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopvolt/cmd/stopvolt/internal/console"
)

// The table of lines gives a line the uncertainty by which its method was judged, also
// where the points lie closer to it than their own uncertainties let expect.
func TestALineIsToldWithTheUncertaintyThatItsMethodIsJudgedBy(t *testing.T) {
	var data strings.Builder
	data.WriteString("wavelength_nm,retarding_V,current_pA\n")
	for _, nm := range []float64{405, 450, 520, 577} {
		cutoff := 4.1e-15*299792458/(nm*1e-9) - 1.4
		for i := range 26 {
			v := float64(i) / 10
			fmt.Fprintf(&data, "%g,%g,%.4f\n", nm, v, 300*math.Pow(max(0, cutoff-v), 2)-1+2*math.Sin(float64(97*i*i)+nm))
		}
	}
	path := filepath.Join(t.TempDir(), "run.csv")
	if err := os.WriteFile(path, []byte(data.String()), 0o666); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if code := execute(context.Background(), console.New(strings.NewReader(""), &out, io.Discard), []string{"extract", path, "--json"}); code != 0 {
		t.Fatalf("extract ends with %d", code)
	}
	type told struct {
		Method, Fit string
		U           float64 `json:"u_Vs"`
	}
	var all struct {
		Answer struct {
			Fit    string
			Usable []told
		}
		Lines []told
	}
	if err := json.Unmarshal(out.Bytes(), &all); err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, s := range all.Answer.Usable {
		for _, l := range all.Lines {
			if l.Method != s.Method || l.Fit != all.Answer.Fit {
				continue
			}
			compared++
			if math.Abs(l.U/s.U-1) > 1e-9 {
				t.Errorf("%s: the line is told with %.3g V s, and judged by %.3g", s.Method, l.U, s.U)
			}
		}
	}
	if compared < 3 {
		t.Errorf("%d lines compared, which tests little", compared)
	}
}
