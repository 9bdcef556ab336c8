package reader

import (
	"bytes"
	"errors"
	"math"
	"testing"

	"stopvolt/instrument/run"
)

// seeds are files of many kinds, good and bad, for the fuzzers to begin with.
var seeds = []string{
	"",
	"setting,wavelength_nm,retarding_V,current_A,u_current_A,time_s,flags\r\nviolet,405,0,1e-9,1e-13,0,\r\nviolet,405,1,0,,1,overload\r\ndark,,0,0,,2,\r\n",
	"Voltage [V],Current [pA]\n0.000,360\n-0.200,297\n-0.403,243\n",
	"U [V];I [nA]\n0,0;0,36\n-0,2;0,297\n",
	"# retarding_V current_A\n0 1e-9\n1 0\n",
	"\xff\xfeV\x00\t\x00I\x00\n\x001\x00\t\x002\x00\n\x00",
	"retarding_V,365,405 nm,dark\n0,1,2,3\n1,0,0\n",
	"405 nm,,546 nm\nV,I,V,I\nV,pA,V,pA\n0,1,0,1\n1,0,1,0\n",
	"wavelength_nm,stopping_V,u_V\n433.9,0.55,0.01\n404.7,0.73,\n690,0,\n",
	"\"a\nb\",1\n\"",
	"V,I\nnan,inf\n1e999,0x1p-2\n",
	"PK\x03\x04",
}

// someOptions takes an option for each bit of choice.
func someOptions(choice byte) Options {
	var o Options
	for bit, set := range []func(){
		func() { o.Delimiter = ';' },
		func() { o.Decimal = ',' },
		func() { o.VoltageSign, o.CurrentSign = -1, -1 },
		func() { o.VoltageUnit, o.CurrentUnit, o.WavelengthUnit = "mV", "pA", "THz" },
		func() { o.Wavelengths = []float64{405} },
		func() { o.VoltageColumn = "1" },
		func() { o.CurrentColumn = "I" },
		func() { o.SettingColumn, o.WavelengthColumn = "2", "3" },
	} {
		if choice&(1<<bit) != 0 {
			set()
		}
	}
	return o
}

func FuzzRead(f *testing.F) {
	for _, s := range seeds {
		f.Add([]byte(s), "405.csv", byte(0))
		f.Add([]byte(s), "bench.txt", byte(0xff))
	}
	f.Fuzz(func(t *testing.T, text []byte, name string, choice byte) {
		r, _, err := Read([]Source{{Name: name, Reader: bytes.NewReader(text)}}, someOptions(choice))
		if err != nil {
			var fault *Error
			if !errors.As(err, &fault) {
				t.Fatalf("error %v of type %T, want *Error", err, err)
			}
			return
		}
		if len(r.Curves) == 0 {
			t.Fatal("neither a curve nor an error")
		}
		for _, c := range r.Curves {
			if len(c.Readings) == 0 || c.Dark != (c.Wavelength == 0) || !c.Dark && !run.PlausibleWavelength(c.Wavelength) {
				t.Fatalf("an impossible curve: %+v", c)
			}
			for _, x := range c.Readings {
				for _, v := range []float64{x.Retarding, x.Current, x.Uncertainty, x.Time} {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Fatalf("a reading that is not finite: %+v", x)
					}
				}
			}
		}
	})
}

func FuzzReadTable(f *testing.F) {
	for _, s := range seeds {
		f.Add([]byte(s), byte(0))
		f.Add([]byte(s), byte(0xff))
	}
	f.Fuzz(func(t *testing.T, text []byte, choice byte) {
		rows, _, err := ReadTable(Source{Name: "table.csv", Reader: bytes.NewReader(text)}, someOptions(choice))
		if err != nil {
			var fault *Error
			if !errors.As(err, &fault) {
				t.Fatalf("error %v of type %T, want *Error", err, err)
			}
			return
		}
		for _, s := range rows {
			if (s.Wavelength == 0) == (s.Frequency == 0) {
				t.Fatalf("a row without one light: %+v", s)
			}
			for _, v := range []float64{s.Wavelength, s.Frequency, s.Stopping, s.UStopping, s.UWavelength, s.UFrequency} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("a row that is not finite: %+v", s)
				}
			}
		}
	})
}

func FuzzReadPackage(f *testing.F) {
	f.Add([]byte(`{"resources":[{"path":"run.csv"}],"emitter_temperature_K":300}`))
	f.Add([]byte("{\n[}"))
	f.Fuzz(func(t *testing.T, text []byte) {
		facts, err := ReadPackage(bytes.NewReader(text), run.PackageName, "run.csv")
		if err == nil && facts.Check() != nil {
			t.Fatalf("impossible facts %+v", facts)
		}
	})
}
