package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/pflag"
)

// completionCommand prints a script that completes commands and flags.
func completionCommand() command {
	return command{
		name:      "completion",
		arguments: "bash|zsh|fish",
		summary:   "print a script by which a shell completes commands and flags",
		examples: `  source <(stopvolt completion bash)
  stopvolt completion fish > ~/.config/fish/completions/stopvolt.fish
`,
		prepare: func(*pflag.FlagSet) action { return runCompletion },
	}
}

func runCompletion(_ context.Context, c console, words []string) error {
	if len(words) != 1 {
		return wrongUsef("name one shell: bash, zsh or fish")
	}
	switch words[0] {
	case "bash":
		fmt.Fprint(c.out, bashCompletion())
	case "zsh":
		fmt.Fprint(c.out, "autoload -U +X bashcompinit && bashcompinit\n"+bashCompletion())
	case "fish":
		fmt.Fprint(c.out, fishCompletion())
	default:
		return wrongUsef("%q is not a shell that is known here; name bash, zsh or fish", words[0])
	}
	return nil
}

// flagsOf returns the long flags of a command.
func flagsOf(k command) []*pflag.Flag {
	set := pflag.NewFlagSet(k.name, pflag.ContinueOnError)
	k.prepare(set)
	var all []*pflag.Flag
	set.VisitAll(func(f *pflag.Flag) { all = append(all, f) })
	return all
}

// bashCompletion offers commands first, then the command's flags and files.
func bashCompletion() string {
	var names, cases strings.Builder
	for _, k := range commands() {
		names.WriteString(" " + k.name)
		fmt.Fprintf(&cases, "    %s) flags=\"--help", k.name)
		for _, f := range flagsOf(k) {
			cases.WriteString(" --" + f.Name)
		}
		cases.WriteString("\" ;;\n")
	}
	return `_stopvolt() {
  local word="${COMP_WORDS[COMP_CWORD]}" flags=""
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W "` + strings.TrimSpace(names.String()) + `" -- "$word"))
    return
  fi
  case "${COMP_WORDS[1]}" in
` + cases.String() + `  esac
  case "$word" in
    -*) COMPREPLY=($(compgen -W "$flags" -- "$word")) ;;
    *) COMPREPLY=($(compgen -f -- "$word")) ;;
  esac
}
complete -o filenames -F _stopvolt stopvolt
`
}

// fishCompletion has a line for each command and each flag.
func fishCompletion() string {
	var text strings.Builder
	for _, k := range commands() {
		fmt.Fprintf(&text, "complete -c stopvolt -n __fish_use_subcommand -a %s -d %s\n", k.name, quote(k.summary))
		for _, f := range flagsOf(k) {
			fmt.Fprintf(&text, "complete -c stopvolt -n '__fish_seen_subcommand_from %s' -l %s -d %s\n", k.name, f.Name, quote(f.Usage))
		}
	}
	return text.String()
}

// quote puts a text into single quotes for a shell.
func quote(text string) string { return "'" + strings.ReplaceAll(text, "'", `\'`) + "'" }
