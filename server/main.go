// Package main is batterboard, the one binary: the server that two phones meet at, and the same core
// for scripts in a shell.
//
// # Reading order
//
//	main.go      the commands
//	serve.go     serve: flags, listening, stopping
//	routes.go    every address the server answers, and who may; headers.go, answers.go around it
//	api.go       the answers: pairing, who am I, invitations, devices, sockets; pages.go the files
//	access.go    devices and seats on sites; pairing.go, codes.go, limit.go how one gets them
//	sites.go     the open sites; site.go one of them: hub, fan-out after the fsync
//	socket.go    one phone's socket: limits, deadlines, the slow reader
//	store.go     Badger; keys.go what lies where, commit.go the group commit
//	cli.go       the commands on files: shellplan.go, shellways.go, shellasks.go, odds.go, shellcheck.go; flags.go what
//	             they are told, sitefile.go what they read, named.go whom they mean
//	files.go     export and import
//	backup.go    backups: what a file holds; backupfolder.go many of them, backupcmd.go the commands
//	accesscmd.go who is let in, from a shell; recovery.go the code on paper
//	door.go      how a command reaches the store while a server has it open
//	lookover.go  the files of the store, read before Badger opens them; salvage.go what is done about damage
//
// # Laws
//
// Acked means stored: nothing that was not fsynced is acknowledged or shown to another phone. The
// server never plans for a phone; it keeps operations and hands them on. What comes over the wire is
// judged as if a stranger had sent it. Logs hold no names, addresses, codes or tokens.
package main

import (
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"strings"
)

// version is set by the build: -ldflags "-X main.version=…".
var version = "dev"

func main() {
	slog.SetLogLoggerLevel(slog.LevelWarn) // serve logs in a way of its own; a command says what it did, and no more
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}

// command is one word of the shell.
type command struct {
	name, args, does string
	run              func(args []string, out, errs io.Writer) error
}

func commands() []command {
	return []command{
		{"serve", "--addr HOST:PORT --data DIR [--demo]", "serve the app and keep the sites", serve},
		{"plan", "FILE", "the plan of a site file: when, who, what, slack, and why then", planFile},
		{"ways", "FILE --away CREW:2027-03-02..2027-03-04", "ways through when a crew can't come", waysFile},
		{"holds", "FILE --before ACTIVITY", "what still has to be signed or done in front of it", holdsFile},
		{"texts", "FILE --day DATE", "the texts to the crews on site that day", textsFile},
		{"solve", "FILE [--time 1s | --steps N | --schedules N]", "the soonest finish of a site or project file (.sm, .sch), and whether it is proved", solveFile},
		{"odds", "FILE [--seed N] [--runs N]", "how the finish spreads by chance, and what is most often on the taut chain", oddsFile},
		{"check", "FILE", "what is wrong with a site file or its plan; fails if anything is", checkFile},
		{"export", "--data DIR --site ID", "write a site as a site file", exportSite},
		{"import", "FILE --data DIR", "put a site file into the store as a new site", importFile},
		{"backup", "--data DIR --to FOLDER|FILE.backup [--keep N]", "add to a folder of backups what is new, or write one complete file", backupStore},
		{"restore", "--from FOLDER|FILE --data DIR", "put a backup into an empty data folder", restoreStore},
		{"licences", "", "what everything by others in this program may be used under", printLicences},
		{"access", "list|owner|revoke|recovery --data DIR", "who is let in; a new way in for an owner; take a device off; a new recovery code", access},
	}
}

// usageError is bad input: exit status 2. Anything else that fails is status 1.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func badInput(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

func run(args []string, out, errs io.Writer) int {
	if len(args) == 0 {
		printUsage(errs)
		return 2
	}
	switch args[0] {
	case "help", "-h", "-help", "--help":
		if len(args) == 2 && args[0] == "help" && args[1] != "help" && !strings.HasPrefix(args[1], "-") {
			return run([]string{args[1], "--help"}, out, errs)
		}
		printUsage(out)
		return 0
	case "version", "--version":
		fmt.Fprintln(out, "batterboard", version)
		return 0
	}
	for _, c := range commands() {
		if c.name == args[0] {
			return exitCode(c.run(args[1:], out, errs), out, errs)
		}
	}
	var names []called
	for _, c := range commands() {
		names = append(names, called{c.name, c.name})
	}
	if like := alike(args[0], names); len(like) > 0 {
		fmt.Fprintf(errs, "batterboard: there is no command %q; did you mean %s?\n", args[0], idsOf(like))
		return 2
	}
	fmt.Fprintf(errs, "batterboard: there is no command %q\n\n", args[0])
	printUsage(errs)
	return 2
}

func exitCode(err error, out, errs io.Writer) int {
	var bad usageError
	var help helpAsked
	switch {
	case err == nil:
		return 0
	case errors.As(err, &help):
		printHelp(out, help.flags)
		return 0
	case errors.As(err, &bad):
		fmt.Fprintln(errs, "batterboard:", err)
		return 2
	default:
		fmt.Fprintln(errs, "batterboard:", err)
		return 1
	}
}

func printUsage(w io.Writer) {
	fmt.Fprintln(w, "batterboard keeps the line while the trades move.")
	fmt.Fprintln(w)
	for _, c := range commands() {
		fmt.Fprintf(w, "  batterboard %s %s\n        %s\n", c.name, c.args, c.does)
	}
	fmt.Fprintln(w)
	fmt.Fprintln(w, "export, import, backup and access also work while a server has the store open.")
	fmt.Fprintln(w, "FILE is a site file, - for standard input. The commands on files take --json, --now 2027-03-01T06:40")
	fmt.Fprintln(w, "and --lang en|es. batterboard plan --help, and so for each, has more. Exit status: 0 done, 1 failed,")
	fmt.Fprintln(w, "2 bad input.")
}
