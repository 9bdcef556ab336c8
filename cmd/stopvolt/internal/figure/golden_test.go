package figure

import (
	"bytes"
	"flag"
	"image"
	"image/png"
	"log"
	"os"
	"path/filepath"
	"testing"
)

var regenerate = flag.Bool("regenerate", false, "write the golden images anew; look at them before you commit them")

// shown is the picture that an example has shown last.
var shown Picture

// show stands in the examples for saving a picture.
func show(p Picture, err error) {
	if err != nil {
		log.Fatal(err)
	}
	shown = p
}

// showNarrow shows a picture in its layout for small screens.
func showNarrow(p Picture, err error) {
	narrow, ok := p.Narrow()
	if err == nil && !ok {
		log.Fatal("the picture has one layout only")
	}
	show(narrow, err)
}

// matches compares the picture of an example with its golden image.
func matches(t *testing.T, example func(), name string) {
	t.Helper()
	example()
	var b bytes.Buffer
	if err := shown.Save(&b, PNG); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("testdata", name+".png")
	if *regenerate {
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	want, err := png.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	if got.Bounds() != want.Bounds() {
		t.Fatalf("%s is %v, the golden image %v", name, got.Bounds(), want.Bounds())
	}
	if worst, at := difference(got, want); worst > tolerance {
		t.Errorf("%s differs from the golden image by %.3f around %v; %.3f is allowed", name, worst, at, tolerance)
	}
}

// The comparison would be of no use if it passed over one mark of many.
func TestGoldenImageSeesASingleReading(t *testing.T) {
	f := Curves{Title: "A run at the school on Tern Island, simulated", Run: benchRun(), Methods: benchCutoffs(), Truth: benchTruth()}
	picture := func() image.Image {
		show(f.Picture())
		var b bytes.Buffer
		if err := shown.Save(&b, PNG); err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		return img
	}
	whole := picture()
	// A reading of the smallest curve, moved by 3 pA.
	f.Run.Curves[4].Readings[30].Current += 3e-12
	if worst, _ := difference(whole, picture()); worst <= tolerance {
		t.Errorf("a reading elsewhere differs by %.3f only", worst)
	}
}

// A picture may differ from its golden image by this share of black to white,
// averaged over a patch of pixels: other processors round the edges of strokes
// otherwise, while a mark that is missing or elsewhere changes its patch by a
// tenth or more.
const (
	tolerance = 0.02
	patch     = 16
)

// difference returns the largest mean difference of any patch of two images of
// one size, as a share of black to white, and where that is.
func difference(a, b image.Image) (worst float64, at image.Point) {
	r := a.Bounds()
	for y := r.Min.Y; y < r.Max.Y; y += patch {
		for x := r.Min.X; x < r.Max.X; x += patch {
			sum, n := 0.0, 0.0
			for j := y; j < min(y+patch, r.Max.Y); j++ {
				for i := x; i < min(x+patch, r.Max.X); i++ {
					ar, ag, ab, _ := a.At(i, j).RGBA()
					br, bg, bb, _ := b.At(i, j).RGBA()
					sum += apart(ar, br) + apart(ag, bg) + apart(ab, bb)
					n += 3 * 0xffff
				}
			}
			if d := sum / n; d > worst {
				worst, at = d, image.Pt(x, y)
			}
		}
	}
	return worst, at
}

// apart returns the difference of two channels.
func apart(a, b uint32) float64 {
	if a < b {
		a, b = b, a
	}
	return float64(a - b)
}
