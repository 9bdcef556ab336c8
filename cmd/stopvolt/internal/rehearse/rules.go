package rehearse

import "stopvolt/cmd/stopvolt/internal/sheet"

// methodWords returns the words for methods that practice sheets have in a
// language, or the English ones.
func methodWords(tag string) *Language {
	if l, err := sheet.Load(tag); err == nil {
		return l
	}
	l, err := sheet.Load("en")
	if err != nil {
		// The English words are embedded and read by every test.
		panic(err)
	}
	return l
}

// rule names a rule of reading.
func (w Voice) rule(name string) string {
	if w.Has("rule." + name) {
		return w.T("rule." + name)
	}
	if l, key := methodWords(w.Tag), "method_names."+name; l.Has(key) {
		return l.Text(key)
	}
	// A method without words of its own has the trade's name.
	return name
}

// does says what one does by a rule.
func (w Voice) does(name string) string {
	if w.Has("does." + name) {
		return w.T("does." + name)
	}
	return methodWords(w.Tag).Text("methods." + name)
}
