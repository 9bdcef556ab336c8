package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/cmd/stopvolt/internal/console"
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

func runCompletion(_ context.Context, c console.Console, words []string) error {
	if len(words) != 1 {
		return console.WrongUsef("name one shell: bash, zsh or fish")
	}
	switch words[0] {
	case "bash":
		fmt.Fprint(c.Out, bashCompletion())
	case "zsh":
		fmt.Fprint(c.Out, "autoload -U +X bashcompinit && bashcompinit\n"+bashCompletion())
	case "fish":
		fmt.Fprint(c.Out, fishCompletion())
	default:
		return console.WrongUsef("%q is not a shell that is known here; name bash, zsh or fish", words[0])
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
	family := ""
	for _, k := range commands() {
		first, second, _ := strings.Cut(k.name, " ")
		if first != family {
			names.WriteString(" " + first)
		}
		family = first
		pattern := first + "\\ *"
		if second != "" {
			pattern = first + "\\ " + second
		}
		fmt.Fprintf(&cases, "    %s) flags=\"--help", pattern)
		for _, f := range flagsOf(k) {
			cases.WriteString(" --" + f.Name)
		}
		cases.WriteString("\" ;;\n")
	}
	for first, seconds := range families() {
		fmt.Fprintf(&cases, "    %s\\ *) [ \"$COMP_CWORD\" -eq 2 ] && { COMPREPLY=($(compgen -W \"%s\" -- \"$word\")); return; } ;;\n", first, strings.Join(seconds, " "))
	}
	return `_stopvolt() {
  local word="${COMP_WORDS[COMP_CWORD]}" flags=""
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W "` + strings.TrimSpace(names.String()) + `" -- "$word"))
    return
  fi
  case "${COMP_WORDS[1]} ${COMP_WORDS[2]}" in
` + cases.String() + `  esac
  case "$word" in
    -*) COMPREPLY=($(compgen -W "$flags" -- "$word")) ;;
    *) COMPREPLY=($(compgen -f -- "$word")) ;;
  esac
}
complete -o filenames -F _stopvolt stopvolt
`
}

// families returns the second words of commands that have one, by the first.
func families() map[string][]string {
	all := make(map[string][]string)
	for _, k := range commands() {
		if first, second, ok := strings.Cut(k.name, " "); ok {
			all[first] = append(all[first], second)
		}
	}
	return all
}

// fishCompletion has a line for each command and each flag.
func fishCompletion() string {
	var text strings.Builder
	for _, k := range commands() {
		first, second, _ := strings.Cut(k.name, " ")
		fmt.Fprintf(&text, "complete -c stopvolt -n __fish_use_subcommand -a %s -d %s\n", first, quote(k.summary))
		seen := "__fish_seen_subcommand_from " + first
		if second != "" {
			fmt.Fprintf(&text, "complete -c stopvolt -n '%s' -a %s -d %s\n", seen, second, quote(k.summary))
			seen += "; and __fish_seen_subcommand_from " + second
		}
		for _, f := range flagsOf(k) {
			fmt.Fprintf(&text, "complete -c stopvolt -n '%s' -l %s -d %s\n", seen, f.Name, quote(f.Usage))
		}
	}
	return text.String()
}

// quote puts a text into single quotes for a shell.
func quote(text string) string { return "'" + strings.ReplaceAll(text, "'", `\'`) + "'" }
