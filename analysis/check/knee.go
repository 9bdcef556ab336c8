package check

import "fmt"

// What the knee is taken to be, as shares of the photocurrent, and how
// many voltages it needs: a straight line or a curvature cannot be told from fewer.
const (
	kneeTop, kneeFoot = 0.5, 0.02
	fewestAtKnee      = 3
)

// findKnee looks for a knee with too few readings.
func findKnee(s *sheet) []Finding {
	var all []Finding
	for _, w := range s.sweeps {
		if !w.usable || w.photocurrent() < 20*w.noise {
			continue
		}
		from, to := w.shareAt(kneeTop), w.shareAt(kneeFoot)
		n := 0
		for _, v := range w.v {
			if v >= from && v <= to {
				n++
			}
		}
		if n >= fewestAtKnee {
			continue
		}
		all = append(all, Finding{Setting: w.name,
			Says: fmt.Sprintf("between %.2f and %.2f V, where the current comes down from half to a fiftieth, there are %d voltages", from, to, n),
			Do:   fmt.Sprintf("take readings every %.2f V there", max((to-from)/8, 0.01))})
	}
	return all
}
