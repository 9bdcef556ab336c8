package main

import (
	"unicode/utf8"

	"github.com/spf13/pflag"

	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/instrument/run/reader"
)

// dataFlags are those of every command that reads what laboratories write. Each
// overrules a guess.
type dataFlags struct {
	options            reader.Options
	delimiter, decimal string
}

// add adds to a set the flags that any table needs.
func (d *dataFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&d.delimiter, "delimiter", "", "what stands between cells: comma, semicolon, tab, blank, or a character")
	flags.StringVar(&d.decimal, "decimal", "", "the decimal mark: point or comma")
	flags.StringVar(&d.options.VoltageUnit, "voltage-unit", "", "unit of the voltages, such as mV")
	flags.StringVar(&d.options.WavelengthUnit, "wavelength-unit", "", "unit of the wavelengths or frequencies, such as nm or THz")
	flags.IntVar(&d.options.VoltageSign, "voltage-sign", 0, "1 for retarding voltages, -1 for the collector's potential")
	flags.StringVar(&d.options.Sheet, "sheet", "", "sheet of a workbook")
	flags.StringVar(&d.options.VoltageColumn, "voltage-column", "", "column of the voltages: its heading, or its number from 1")
	flags.StringVar(&d.options.WavelengthColumn, "wavelength-column", "", "column of the wavelengths")
	flags.StringVar(&d.options.SettingColumn, "setting-column", "", "column of the names of the settings")
}

// addCurrents adds the flags that curves of current need.
func (d *dataFlags) addCurrents(flags *pflag.FlagSet) {
	d.add(flags)
	flags.StringVar(&d.options.CurrentUnit, "current-unit", "", "unit of the currents, such as pA or \"1e-7 A\"")
	flags.IntVar(&d.options.CurrentSign, "current-sign", 0, "1 where electrons from emitter to collector count as positive, -1 where as negative")
	flags.StringVar(&d.options.CurrentColumn, "current-column", "", "column of the currents")
	flags.Float64SliceVar(&d.options.Wavelengths, "wavelength", nil, "wavelengths of the curves in nm, in the order in which they are read, `a,b`")
}

// parsed returns the options as the reader takes them.
func (d *dataFlags) parsed() (reader.Options, error) {
	o := d.options
	var err error
	if o.Delimiter, err = character("delimiter", d.delimiter, map[string]rune{"comma": ',', "semicolon": ';', "tab": '\t', "blank": ' '}); err != nil {
		return o, err
	}
	o.Decimal, err = character("decimal", d.decimal, map[string]rune{"point": '.', "comma": ','})
	return o, err
}

// character returns the one that a word or itself names, 0 for an empty word.
func character(flag, word string, names map[string]rune) (rune, error) {
	if word == "" {
		return 0, nil
	}
	if r, ok := names[word]; ok {
		return r, nil
	}
	if r, size := utf8.DecodeRuneInString(word); size == len(word) && r != utf8.RuneError {
		return r, nil
	}
	return 0, console.WrongUsef("--%s is %q; it must be one character or its name", flag, word)
}

// remarksOn writes the guesses of a reader, a line each.
func remarksOn(guesses []reader.Guess) []string {
	var remarks []string
	for _, g := range guesses {
		remarks = append(remarks, console.OneLine(g.String()))
	}
	return remarks
}
