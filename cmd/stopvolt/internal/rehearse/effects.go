package rehearse

import (
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/instrument"
)

// effect returns what an effect is called: in the language's own table, or as
// the tables of effects have it.
func (w Voice) effect(id instrument.EffectID) string {
	if key := "effect." + string(id); w.Has(key) {
		return w.T(key)
	}
	return effectWords(w.Tag).Effect(id)
}

// remedy returns what to change at the bench against an effect.
func (w Voice) remedy(id instrument.EffectID) string {
	if key := "remedy." + string(id); w.Has(key) {
		return w.T(key)
	}
	return effectWords(w.Tag).Remedy(id)
}

// effectWords returns the table of effects of a language, or the English one.
func effectWords(tag string) *words.Language {
	if l, err := words.Load(tag); err == nil {
		return l
	}
	return words.English()
}
