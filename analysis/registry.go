package analysis

import (
	"fmt"
	"strings"
)

// Methods returns the methods in the order of tables. To add one, write its
// file and add its line here.
func Methods() []Method {
	return []Method{
		NullReading{},
		ZeroCrossing{},
		FixedCurrent{},
		Tangent{},
		TwoTangent{},
		SquareRoot{},
		PowerLaw{},
		FirstDerivative{},
		SecondDerivative{},
		SemiLog{},
		FowlerFit{},
		CellFit{},
		JointFit{},
	}
}

// ByName returns the method of a name; the error lists the names there are.
func ByName(name string) (Method, error) {
	var names []string
	for _, m := range Methods() {
		if m.Name() == name {
			return m, nil
		}
		names = append(names, m.Name())
	}
	return nil, fmt.Errorf("no method %q; the methods are %s", name, strings.Join(names, ", "))
}

// LineFits returns the ways of putting a straight line through stopping
// voltages, in the order of tables. To add one, write its file and add its line
// here.
func LineFits() []LineFit {
	return []LineFit{
		Ordinary{},
		Weighted{},
		York{},
		TheilSen{},
	}
}
