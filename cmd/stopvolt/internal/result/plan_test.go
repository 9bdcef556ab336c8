package result

import (
	"strings"
	"testing"

	"stopvolt/analysis/plan"
	"stopvolt/instrument"
)

// planned is a plan whose longer time gives the errors of a shorter one, or others.
func planned(now, later float64) Plan {
	tried := func(dwell, minutes, err float64) plan.Tried {
		return plan.Tried{Candidate: plan.Candidate{Step: 0.05, Repeats: 1, Dwell: dwell, Neutral: 1}, Minutes: minutes, Loss: plan.Loss{Error: err}}
	}
	a := instrument.Apparatus{Lights: []instrument.Light{{Name: "violet", Nominal: 404.7}}}
	a.Plan.Start, a.Plan.Stop, a.Plan.Settle = -1.0000001, 2.7476659402887025, 1.0666666
	return Plan{
		Minutes: 40, More: 10, Median: a,
		Now:   plan.Result{Best: tried(6, 38, now), Equal: tried(6, 38, now), High: 1},
		Later: plan.Result{Best: tried(9, 48, later), Equal: tried(9, 48, later), High: 1},
	}
}

func TestOnePlanIsShownOnce(t *testing.T) {
	p := planned(0.06, 0.05)
	if n := len(p.rows()); n != 2 {
		t.Errorf("two plans, in %d rows", n)
	}
	p.Later = p.Now
	if n := len(p.rows()); n != 1 {
		t.Errorf("one plan, in %d rows", n)
	}
	p.Now.Best.Candidate.Lights = []int{0}
	if n := len(p.rows()); n != 2 {
		t.Errorf("a plan without some of the lights is another, and there are %d rows", n)
	}
}

func TestNoChangeIsSaidInWords(t *testing.T) {
	for _, c := range []struct {
		now, later float64
		want       string
	}{
		{0.05781, 0.05783, "10 minutes more do not change the mean error, which is 5.78 %. They are better spent"},
		{0.06, 0.05, "10 minutes more change the mean error from 6.00 to 5.00 %."},
	} {
		if got := planned(c.now, c.later).longer(); !strings.HasPrefix(got, c.want) {
			t.Errorf("from %g to %g: %q", c.now, c.later, got)
		}
	}
}

func TestPlanHasNumbersThatAPersonWrites(t *testing.T) {
	got := planned(0.06, 0.05).TOML()
	for _, want := range []string{"start_V = -1\n", "stop_V = 2.75\n", "step_V = 0.05\n", "settle_s = 1.07\n", "dwell_s = 6\n"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
}
