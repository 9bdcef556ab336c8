package rehearse

import (
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/instrument"
)

// effect returns what an effect is called.
func (w Voice) effect(id instrument.EffectID) string { return effectWords(w.Tag).Effect(id) }

// remedy returns what to change at the bench against an effect.
func (w Voice) remedy(id instrument.EffectID) string { return effectWords(w.Tag).Remedy(id) }

// effectWords returns the table of effects of a language, or the English one.
func effectWords(tag string) *words.Language {
	if l, err := words.Load(tag); err == nil {
		return l
	}
	return words.English()
}
