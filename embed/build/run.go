package main

import (
	"bytes"
	"flag"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
)

// where is what run and dev are told about the place the demo lives.
type where struct {
	addr, data string
	fresh      bool
}

func (t *tool) where(name string, args []string) (where, error) {
	w := where{}
	f := flag.NewFlagSet(name, flag.ContinueOnError)
	f.StringVar(&w.addr, "addr", "", "HOST:PORT to listen on; default: every address, port 8080 or the next free one")
	f.StringVar(&w.data, "data", t.path("data", "demo"), "folder the demo is kept in")
	f.BoolVar(&w.fresh, "fresh", false, "throw the demo away and begin again")
	if err := parse(f, args); err != nil {
		return w, err
	}
	if w.addr == "" {
		w.addr = net.JoinHostPort("", strconv.Itoa(freePort(8080)))
	}
	return w, nil
}

// freePort is the first port from want on that nobody listens on.
func freePort(want int) int {
	for p := want; p < want+100; p++ {
		l, err := net.Listen("tcp", ":"+strconv.Itoa(p))
		if err == nil {
			l.Close()
			return p
		}
	}
	return want // let the server say what is wrong with it
}

// run builds everything, serves the demo and tells how to reach it.
func (t *tool) run(args []string) error {
	w, err := t.where("run", args)
	if err != nil {
		return err
	}
	if err := t.all(release); err != nil {
		return err
	}
	if w.fresh {
		if err := dropDemo(w.data); err != nil {
			return err
		}
	}
	if err := t.serve(w, true).Run(); err != nil && t.ctx.Err() == nil {
		return errSaid // by the server, on our standard error
	}
	return nil
}

// dropDemo removes the demo's folder, and leaves one alone that is not plainly a store.
func dropDemo(dir string) error {
	entries, err := os.ReadDir(dir)
	if os.IsNotExist(err) || err == nil && len(entries) == 0 {
		return nil
	}
	if err != nil {
		return err
	}
	for _, name := range []string{"MANIFEST", "KEYREGISTRY"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			return fmt.Errorf("%s does not look like the demo's folder: it was left alone", dir)
		}
	}
	return os.RemoveAll(dir)
}

// serve prepares the server of the demo. With hello, the newcomer is greeted as soon as it listens, and not before.
func (t *tool) serve(w where, hello bool) *exec.Cmd {
	c := t.command(".", nil, t.bin(), "serve", "--demo", "--addr", w.addr, "--data", w.data)
	c.Stdout, c.Stderr = os.Stdout, os.Stderr
	if hello {
		c.Stdout = &untilListening{w: w}
	}
	return c
}

// untilListening passes on what the server says, but for the line that says where it listens: there it greets.
type untilListening struct {
	w    where
	line []byte
}

func (u *untilListening) Write(b []byte) (int, error) {
	u.line = append(u.line, b...)
	for {
		line, rest, whole := bytes.Cut(u.line, []byte("\n"))
		if !whole {
			return len(b), nil
		}
		u.line = rest
		if bytes.HasPrefix(line, []byte("listening ")) {
			greet(u.w)
		} else if _, err := fmt.Printf("%s\n", line); err != nil {
			return 0, err
		}
	}
}

// greet says where the demo is and, in plain words, what a phone gets over plain HTTP.
func greet(w where) {
	host, port, err := net.SplitHostPort(w.addr)
	if err != nil {
		host, port = w.addr, "80"
	}
	near := host
	if near == "" || near == "0.0.0.0" || near == "::" {
		near = "localhost"
	}
	fmt.Printf("\nThe demo site, the Old Laundry, is open:\n\n  on this computer     http://%s/\n", net.JoinHostPort(near, port))
	if near == "localhost" && host != "localhost" {
		for _, ip := range lanAddresses() {
			fmt.Printf("  on a phone near it   http://%s/     (same Wi-Fi)\n", net.JoinHostPort(ip, port))
		}
	}
	fmt.Printf(`
On a phone this address shows everything, but only while there is network: browsers keep an app for
offline use only when it comes over HTTPS. README.md, "On a phone, over HTTPS", has three ways to get
there. An Android phone on a cable needs none of them: run adb reverse tcp:%[1]s tcp:%[1]s, then open
http://localhost:%[1]s/ on the phone.

Stop with Ctrl-C. What you do is kept in %[2]s; --fresh begins again.

`, port, w.data)
}

// lanAddresses are the private IPv4 addresses of this machine (RFC 1918), without those of
// interfaces that are down.
func lanAddresses() (found []string) {
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsPrivate() {
			found = append(found, n.IP.String())
		}
	}
	return found
}
