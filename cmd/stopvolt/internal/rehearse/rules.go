package rehearse

import (
	"sync"

	"stopvolt/cmd/stopvolt/internal/sheet"
)

// methodTexts has the words of practice sheets in each language, read once.
var methodTexts = sync.OnceValue(func() map[string]*Language {
	all := make(map[string]*Language)
	for _, tag := range sheet.Languages() {
		l, err := sheet.Load(tag)
		if err != nil {
			// The words are embedded, and every test reads them.
			panic(err)
		}
		all[tag] = l
	}
	return all
})

// methodWords returns the words for methods that practice sheets have in a
// language, or the English ones.
func methodWords(tag string) *Language {
	if l, ok := methodTexts()[tag]; ok {
		return l
	}
	return methodTexts()["en"]
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
