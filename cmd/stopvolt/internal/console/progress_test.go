package console

import (
	"bytes"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

func TestLongProgressTellsAtOnceAndThenNowAndThen(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var errs bytes.Buffer
		c := New(strings.NewReader(""), &bytes.Buffer{}, &errs)
		done, finish := c.LongProgress("plans of 40 minutes", 100)
		if errs.Len() > 0 {
			t.Errorf("before the first experiment it says %q", errs.String())
		}
		for range 100 {
			time.Sleep(time.Second)
			done()
		}
		finish()
		want := "stopvolt: plans of 40 minutes: 1 of 100 experiments after 1 s\n" +
			"stopvolt: plans of 40 minutes: 31 of 100 experiments after 31 s\n" +
			"stopvolt: plans of 40 minutes: 61 of 100 experiments after 61 s\n" +
			"stopvolt: plans of 40 minutes: 91 of 100 experiments after 91 s\n"
		if errs.String() != want {
			t.Errorf("it says\n%swant\n%s", errs.String(), want)
		}
	})
}
