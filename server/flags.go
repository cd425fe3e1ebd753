package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"
)

// flags reads what stands behind a command. Its own words are used instead of package flag's: a mistake is one
// sentence that says what to write, and the whole list comes only to who asks for it.
func flags(name string) *flag.FlagSet {
	fs := flag.NewFlagSet(name, flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	return fs
}

// helpAsked is no mistake: the command's own page goes to standard output, with status 0.
type helpAsked struct{ flags *flag.FlagSet }

func (helpAsked) Error() string { return "help was asked for" }

// parse reads one stretch of flags, up to the first word that is none.
func parse(fs *flag.FlagSet, args []string) error {
	err := fs.Parse(args)
	if errors.Is(err, flag.ErrHelp) {
		return helpAsked{fs}
	}
	if err != nil {
		command, _, _ := strings.Cut(fs.Name(), " ")
		return badInput("%s; batterboard %s --help has the list", flagSentence(fs, err.Error()), command)
	}
	return nil
}

// parseAround reads flags that stand before, between or behind other words, and returns those.
func parseAround(fs *flag.FlagSet, args []string) (words []string, err error) {
	for len(args) > 0 {
		if err := parse(fs, args); err != nil {
			return nil, err
		}
		if args = fs.Args(); len(args) > 0 {
			words, args = append(words, args[0]), args[1:]
		}
	}
	return words, nil
}

// flagSentence says what package flag found, in words for who typed it.
func flagSentence(fs *flag.FlagSet, found string) string {
	if name, ok := strings.CutPrefix(found, "flag provided but not defined: -"); ok {
		return fmt.Sprintf("%s has no --%s", fs.Name(), strings.TrimLeft(name, "-"))
	}
	if name, ok := strings.CutPrefix(found, "flag needs an argument: -"); ok {
		return fmt.Sprintf("--%s needs something behind it: %s", name, says(fs, name))
	}
	for _, kind := range []string{" for flag -", " for -"} {
		if what, rest, ok := strings.Cut(found, kind); ok {
			name, why, _ := strings.Cut(rest, ": ")
			what = strings.TrimPrefix(strings.TrimPrefix(what, "invalid value "), "invalid boolean value ")
			if why == "parse error" || strings.HasPrefix(why, "strconv.") {
				why = says(fs, name)
			}
			return fmt.Sprintf("--%s cannot be %s: %s", name, what, why)
		}
	}
	return found
}

func says(fs *flag.FlagSet, name string) string {
	f := fs.Lookup(name)
	if f == nil {
		return ""
	}
	_, usage := flag.UnquoteUsage(f)
	return usage
}

// printHelp is the page of one command.
func printHelp(out io.Writer, fs *flag.FlagSet) {
	word, _, _ := strings.Cut(fs.Name(), " ")
	for _, c := range commands() {
		if c.name == word {
			fmt.Fprintf(out, "batterboard %s %s\n        %s\n\n", c.name, c.args, c.does)
		}
	}
	fs.VisitAll(func(f *flag.Flag) {
		what, usage := flag.UnquoteUsage(f)
		if what != "" {
			what = " " + what
		}
		if f.DefValue != "" && f.DefValue != "0" && f.DefValue != "0s" && f.DefValue != "false" && !strings.Contains(usage, "default") {
			usage += " (default " + f.DefValue + ")"
		}
		fmt.Fprintf(out, "  --%s%s\n        %s\n", f.Name, what, usage)
	})
}
