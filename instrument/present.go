package instrument

import "reflect"

// Present returns the effects that an apparatus has, in the order of Effects:
// those whose off changes it.
func Present(a Apparatus) []Effect {
	var present []Effect
	for _, e := range Effects() {
		if !reflect.DeepEqual(e.Off(a), a) {
			present = append(present, e)
		}
	}
	return present
}
