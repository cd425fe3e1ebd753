package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
)

// mode says for whom the client is built.
type mode int

const (
	release mode = iota // small and compressed, as it goes into the binary
	quick               // readable, uncompressed: for a developer who waits
)

// all builds the client and then the binary that carries it.
func (t *tool) all(m mode) error {
	for _, s := range []struct {
		what string
		do   func() error
	}{
		{"node packages", t.packages},
		{"engine to WebAssembly", func() error { return t.wasm(m) }},
		{"licences", t.licences},
		{"client", func() error { return t.client(m) }},
		{"bin/batterboard", t.binary},
	} {
		if err := step(s.what, s.do); err != nil {
			return err
		}
	}
	return nil
}

// packages installs what client/package-lock.json names, unless exactly that is installed already.
func (t *tool) packages() error {
	if err := t.nodeVersion(); err != nil {
		return err
	}
	lock, err := os.ReadFile(t.path("client", "package-lock.json"))
	if err != nil {
		return err
	}
	sum := sha256.Sum256(lock)
	want, stamp := hex.EncodeToString(sum[:]), t.path("client", "node_modules", ".batterboard-lock")
	if got, err := os.ReadFile(stamp); err == nil && string(got) == want {
		return nil
	}
	// Somebody else may have installed just that; without a network it could not be fetched again.
	if got, err := os.ReadFile(t.path("client", "node_modules", ".package-lock.json")); err == nil && installed(lock, got) {
		return os.WriteFile(stamp, []byte(want), 0o644)
	}
	if err := t.quietly("client", nil, "npm", "ci", "--no-audit", "--no-fund", "--prefer-offline"); err != nil {
		return fmt.Errorf("the packages of client/package-lock.json could not be fetched: the first build needs the network, later ones do not (%w)", err)
	}
	return os.WriteFile(stamp, []byte(want), 0o644)
}

// installed says whether what npm wrote down as installed is all that the lock file names: the same
// versions with the same sums, and nothing missing but what is optional, for other systems.
func installed(lock, got []byte) bool {
	type pack struct {
		Version, Integrity string
		Optional           bool
	}
	var want, have struct{ Packages map[string]pack }
	if json.Unmarshal(lock, &want) != nil || json.Unmarshal(got, &have) != nil || len(have.Packages) == 0 {
		return false
	}
	delete(want.Packages, "") // the client itself
	for name, p := range want.Packages {
		if h, ok := have.Packages[name]; ok && (h.Version != p.Version || h.Integrity != p.Integrity) || !ok && !p.Optional {
			return false
		}
	}
	for name := range have.Packages {
		if _, ok := want.Packages[name]; !ok {
			return false
		}
	}
	return true
}

// nodeVersion refuses an old Node with a sentence rather than with a syntax error in the bundler.
func (t *tool) nodeVersion() error {
	out, err := t.command(".", nil, "node", "--version").Output()
	if err != nil {
		return said(err, "node", []string{"--version"})
	}
	version := strings.TrimSpace(string(out))
	major, _, _ := strings.Cut(strings.TrimPrefix(version, "v"), ".")
	if n, err := strconv.Atoi(major); err != nil || n < 20 {
		return fmt.Errorf("this is Node %s: Batterboard is built with Node 20 or newer", version)
	}
	return nil
}

// wasm compiles the engine for the browser and fetches the loader that belongs to this very Go.
// -gcflags=std=-l: without inlining in the standard library it is a tenth smaller to download, and
// the planner's own code keeps its speed.
func (t *tool) wasm(m mode) error {
	if err := os.MkdirAll(t.path("bin", "web"), 0o755); err != nil {
		return err
	}
	err := t.quietly(".", []string{"GOOS=js", "GOARCH=wasm"}, "go", "build", "-trimpath", "-buildvcs=false",
		"-ldflags=-s -w", "-gcflags=std=-l", "-gcflags=batterboard/client/...=-l", "-gcflags=batterboard/sync=-l", "-o", filepath.Join("bin", "web", "engine.wasm"), "./client/wasm")
	if err != nil {
		return err
	}
	if m == release { // a developer wants to read the names in a trace
		if err := slimFile(t.path("bin", "web", "engine.wasm")); err != nil {
			return err
		}
		if err := packFile(t.path("bin", "web", "engine.wasm"), t.path("bin", "web", "engine.pack")); err != nil {
			return err
		}
	}
	loader, err := t.goroot("lib", "wasm", "wasm_exec.js")
	if err != nil {
		return err
	}
	js, err := os.ReadFile(loader)
	if err != nil {
		return err
	}
	return os.WriteFile(t.path("bin", "web", "wasm_exec.js"), js, 0o644)
}

func (t *tool) goroot(parts ...string) (string, error) {
	out, err := t.command(".", nil, "go", "env", "GOROOT").Output()
	if err != nil {
		return "", said(err, "go", []string{"env", "GOROOT"})
	}
	return filepath.Join(append([]string{strings.TrimSpace(string(out))}, parts...)...), nil
}

// client bundles the pages into embed/dist. client/build.mjs does the work; what it needs to know
// comes in the environment: where the engine is, where to put the result, for whom, which version.
func (t *tool) client(m mode) error {
	env := []string{"BB_WEB=" + t.path("bin", "web"), "BB_OUT=" + t.path("embed", "dist"), "BB_VERSION=" + t.version()}
	if m == quick {
		env = append(env, "BB_DEV=1")
	}
	return t.quietly("client", env, "node", "build.mjs")
}

// version names the build by its commit, so that two builds of one commit are alike. Without Git
// (an unpacked archive) it is "dev".
func (t *tool) version() string {
	out, err := t.command(".", nil, "git", "describe", "--always", "--dirty", "--abbrev=10").Output()
	if err != nil {
		return "dev"
	}
	return strings.TrimSpace(string(out))
}

func (t *tool) binary() error {
	return t.quietly(".", nil, "go", "build", "-trimpath", "-buildvcs=false",
		"-ldflags=-s -w -X main.version="+t.version(), "-o", t.bin(), "./server")
}

func (t *tool) bin() string { return t.path("bin", "batterboard") }

// browser finds Chromium: CHROME_PATH, else the usual names. When it is missing and may be
// installed (root on a Debian), it is; else the error is the one command that does it.
func (t *tool) browser() (string, error) {
	if p := os.Getenv("CHROME_PATH"); p != "" {
		return p, nil
	}
	if p := lookChromium(); p != "" {
		return p, nil
	}
	if _, err := exec.LookPath("apt-get"); err != nil || os.Geteuid() != 0 {
		return "", errors.New("the end-to-end tests need Chromium. On Debian or Ubuntu:\n\n" +
			"  sudo apt-get install --yes chromium\n\n" +
			"Elsewhere install Chromium or Chrome and name it: CHROME_PATH=/path/to/chrome")
	}
	err := step("installing Chromium with apt-get", func() error {
		noQuestions := []string{"DEBIAN_FRONTEND=noninteractive"}
		if err := t.quietly(".", noQuestions, "apt-get", "update"); err != nil {
			return err
		}
		return t.quietly(".", noQuestions, "apt-get", "install", "--yes", "--no-install-recommends", "chromium")
	})
	if p := lookChromium(); err == nil && p != "" {
		return p, nil
	}
	return "", errors.Join(errors.New("chromium could not be installed"), err)
}

func lookChromium() string {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			return p
		}
	}
	return ""
}
