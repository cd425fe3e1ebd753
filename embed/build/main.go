// Command build is the one build tool of Batterboard. On a fresh machine it needs Go 1.26 and
// Node 20, nothing else:
//
//	go run ./embed/build          build everything into bin/batterboard
//	go run ./embed/build run      build, start the demo site, print where to find it
//	go run ./embed/build test     everything that is checked, in a real browser too
//	go run ./embed/build dev      like run, and build again whenever a file changes
//	go run ./embed/build bench    measure: sizes, start, planning, the screen, Lighthouse
//	go run ./embed/build types    write client/ui/view.d.ts from the engine's Go types
//
// Continuous integration runs "test" and nothing beside it, so what passes here passes there.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
)

const usage = `Usage: go run ./embed/build [command]

  (none)   build everything into bin/batterboard
  run      build, start the demo site and print where to open it   [--addr HOST:PORT] [--data DIR] [--fresh]
  test     everything that is checked, in a real browser too       [--only go|wasm|web|e2e]
  dev      like run, and build again whenever a file changes       [--addr HOST:PORT] [--data DIR]
  bench    measure sizes, start-up, planning, the screen           [--only sizes|server|kills|go|solver|screen|lighthouse]
  types    write client/ui/view.d.ts from the engine's Go types
  help     this list
`

var (
	errUsage = errors.New("look below") // exit status 2, as the shell expects
	errSaid  = errors.New("a program failed and has said why itself")
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	switch err := do(ctx, os.Args[1:]); {
	case err == nil:
	case errors.Is(err, flag.ErrHelp):
		fmt.Print(usage)
	case errors.Is(err, errUsage):
		fmt.Fprintf(os.Stderr, "build: %v\n\n%s", err, usage)
		os.Exit(2)
	case errors.Is(err, errSaid):
		os.Exit(1)
	default:
		fmt.Fprintln(os.Stderr, "build:", err)
		os.Exit(1)
	}
}

func do(ctx context.Context, args []string) error {
	root, err := findRoot()
	if err != nil {
		return err
	}
	t := &tool{ctx: ctx, root: root}
	command := "build"
	if len(args) > 0 {
		command, args = args[0], args[1:]
	}
	switch command {
	case "build":
		return t.all(release)
	case "run":
		return t.run(args)
	case "test":
		return t.test(args)
	case "dev":
		return t.dev(args)
	case "bench":
		return t.bench(args)
	case "types":
		return t.writeTypes()
	case "help", "-h", "-help", "--help":
		return flag.ErrHelp
	}
	return fmt.Errorf("there is no command %q: %w", command, errUsage)
}

// parse reads a command's flags. A mistake is bad usage, said once.
func parse(f *flag.FlagSet, args []string) error {
	f.SetOutput(io.Discard)
	err := f.Parse(args)
	switch {
	case err != nil && !errors.Is(err, flag.ErrHelp):
		return fmt.Errorf("%w: %w", err, errUsage)
	case err == nil && f.NArg() > 0:
		return fmt.Errorf("%s takes no %q: %w", f.Name(), f.Arg(0), errUsage)
	}
	return err
}

// findRoot looks for go.mod upwards from where the command was given.
func findRoot() (string, error) {
	dir, err := os.Getwd()
	if err != nil {
		return "", err
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir, nil
		}
		up := filepath.Dir(dir)
		if up == dir {
			return "", errors.New("no go.mod here or above: give the command inside the checkout")
		}
		dir = up
	}
}
