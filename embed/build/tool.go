package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

// tool runs other programs in one checkout.
type tool struct {
	ctx  context.Context
	root string
}

func (t *tool) path(parts ...string) string {
	return filepath.Join(append([]string{t.root}, parts...)...)
}

// command prepares a program in a folder of the checkout. When the tool is told to stop, the program
// gets SIGTERM and ten seconds to put its things away.
func (t *tool) command(dir string, env []string, name string, args ...string) *exec.Cmd {
	c := exec.CommandContext(t.ctx, name, args...)
	c.Dir = t.path(dir)
	c.Env = append(os.Environ(), env...)
	c.Cancel = func() error { return c.Process.Signal(syscall.SIGTERM) }
	c.WaitDelay = 10 * time.Second
	return c
}

// quietly runs a program and shows what it said only when it fails.
func (t *tool) quietly(dir string, env []string, name string, args ...string) error {
	out, err := t.command(dir, env, name, args...).CombinedOutput()
	if err == nil {
		return nil
	}
	os.Stderr.Write(out)
	return said(err, name, args)
}

// loudly runs a program with its output on ours.
func (t *tool) loudly(dir string, env []string, name string, args ...string) error {
	c := t.command(dir, env, name, args...)
	c.Stdout, c.Stderr = os.Stdout, os.Stderr
	if err := c.Run(); err != nil {
		return said(err, name, args)
	}
	return nil
}

func said(err error, name string, args []string) error {
	if errors.Is(err, exec.ErrNotFound) {
		return fmt.Errorf("%s is not installed: Batterboard is built with Go 1.26 and Node 20", name)
	}
	return fmt.Errorf("%s %s: %w", name, strings.Join(args, " "), err)
}

// step prints one line for one stage and how long it took.
func step(what string, f func() error) error {
	start := time.Now()
	fmt.Printf("· %s ", what)
	err := f()
	if err != nil {
		fmt.Println("– failed")
		return err
	}
	fmt.Printf("(%.1fs)\n", time.Since(start).Seconds())
	return nil
}

// contextOf returns the same tool with a stop of its own.
func contextOf(t *tool) (*tool, context.CancelFunc) {
	ctx, cancel := context.WithCancel(t.ctx)
	return &tool{ctx: ctx, root: t.root}, cancel
}
