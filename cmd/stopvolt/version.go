package main

import (
	"runtime/debug"
)

// version says which build this is: the module's version where it was built
// from one, the commit where the build recorded it, and the compiler.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "(unknown build)"
	}
	text := info.Main.Version
	if text == "" || text == "(devel)" {
		text = "devel"
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				text += " " + s.Value
			}
			if s.Key == "vcs.modified" && s.Value == "true" {
				text += "+changes"
			}
		}
	}
	return text + " " + info.GoVersion
}
