package figure

import (
	"fmt"
	"slices"
	"testing"

	"stopvolt/analysis"
)

// Whoever adds a method gives it a place, on the side that its page says.
func TestEveryMethodHasALookOfItsKind(t *testing.T) {
	for _, m := range analysis.Methods() {
		hand, computer := slices.Contains(drawnByHand, m.Name()), slices.Contains(drawnByComputer, m.Name())
		if byHand := m.Page().ByHand != ""; hand != byHand || computer == byHand {
			t.Errorf("%s can be done by hand: %t; listed by hand %t, by computer %t", m.Name(), byHand, hand, computer)
		}
	}
}

// A method looks alike in every company, and no two methods share a mark, or an
// ink and a dash.
func TestAMethodHasOneLookAndSharesItWithNone(t *testing.T) {
	mark, line := map[string]string{}, map[string]string{}
	for i, name := range append(slices.Clone(drawnByHand), drawnByComputer...) {
		l := lookOf(name, i)
		if alone := lookOf(name, 0); fmt.Sprint(alone) != fmt.Sprint(l) {
			t.Errorf("%s looks otherwise alone", name)
		}
		for seen, key := range map[*map[string]string]string{
			&mark: fmt.Sprint(l.mark.Shape),
			&line: fmt.Sprint(l.line.Color, l.line.Dashes),
		} {
			if other, ok := (*seen)[key]; ok {
				t.Errorf("%s and %s look alike: %s", name, other, key)
			}
			(*seen)[key] = name
		}
		if open := l.mark.Shape.(shape).open; open != slices.Contains(drawnByComputer, name) {
			t.Errorf("%s has an open mark: %t", name, open)
		}
	}
}
