package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"stopvolt/cmd/stopvolt/internal/report"
)

// checkReport says what is wrong with the name of a page; empty is none.
func checkReport(name string) error {
	if name != "" && !strings.HasSuffix(name, ".html") && !strings.HasSuffix(name, ".htm") {
		return wrongUsef("--report is %q; name a file that ends in .html", name)
	}
	return nil
}

// writeReport writes a page to a file.
func writeReport(name string, p report.Page) error {
	return writeFile(name, func(w io.Writer) error { return p.Write(w) })
}

// made tells how a page was made: the same for the same words and build.
func made(seed uint64, rest ...report.Term) []report.Term {
	terms := []report.Term{
		{Name: "Program", Text: "stopvolt " + version()},
		{Name: "Command", Text: "stopvolt " + strings.Join(quoted(os.Args[1:]), " ")},
	}
	if seed > 0 {
		terms = append(terms, report.Term{Name: "Seed", Text: fmt.Sprint(seed)})
	}
	return append(terms, rest...)
}

// quoted puts words with special characters in quotes, as a shell takes them.
func quoted(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = w
		if w == "" || strings.ContainsAny(w, " \t\n\"'\\$`!*?[]{}()<>|&;#~") {
			out[i] = "'" + strings.ReplaceAll(w, "'", `'\''`) + "'"
		}
	}
	return out
}

// cautions are the safety notes of every page.
func cautions() []string {
	return []string{
		"Your local rules and trained staff come first; nothing on this page replaces them.",
		"A mercury lamp emits ultraviolet that harms eyes and skin: keep it in its closed housing, never look into it, and use no lamp whose outer bulb is broken.",
		"Lamp and housing are hot, and stay so for a long time after they are switched off.",
		"A broken lamp releases mercury vapour: leave and air the room, and have trained staff clean it up.",
		"The alkali metal in a photocell reacts with water and air: never open a cell, and leave a broken one to trained staff.",
		"Lamp supplies carry dangerous voltages: unplug before you touch a socket.",
	}
}
