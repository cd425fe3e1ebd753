package main

import (
	"flag"
	"fmt"
	"net"
	"os"
	"os/exec"
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
	f.Usage = func() {}
	f.StringVar(&w.addr, "addr", "", "HOST:PORT to listen on; default: every address, port 8080 or the next free one")
	f.StringVar(&w.data, "data", t.path("data", "demo"), "folder the demo is kept in")
	f.BoolVar(&w.fresh, "fresh", false, "throw the demo away and begin again")
	if err := f.Parse(args); err != nil {
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
	greet(w)
	c := t.serve(w)
	if err := c.Run(); err != nil && t.ctx.Err() == nil {
		return said(err, "batterboard", []string{"serve"})
	}
	return nil
}

// dropDemo removes the demo's folder, and refuses a folder that does not look like one.
func dropDemo(dir string) error {
	entries, err := os.ReadDir(dir)
	if os.IsNotExist(err) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, e := range entries {
		if e.Name() == ".git" || e.Name() == "go.mod" {
			return fmt.Errorf("%s does not look like the demo's folder: it was left alone", dir)
		}
	}
	return os.RemoveAll(dir)
}

func (t *tool) serve(w where) *exec.Cmd {
	c := t.command(".", nil, t.bin(), "serve", "--demo", "--addr", w.addr, "--data", w.data)
	c.Stdout, c.Stderr = os.Stdout, os.Stderr
	return c
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
	fmt.Printf("\nThe demo site, the Old Laundry:\n\n  on this computer      http://%s/\n", net.JoinHostPort(near, port))
	if near == "localhost" && host != "localhost" {
		for _, ip := range lanAddresses() {
			fmt.Printf("  on a phone, same Wi-Fi  http://%s/\n", net.JoinHostPort(ip, port))
		}
	}
	fmt.Printf(`
Browsers keep an app for offline use only over HTTPS or on the computer itself: over the plain
http:// address a phone shows the site and syncs, but does not open it without network.
For the whole thing use HTTPS, for example one of

  bin/batterboard serve --tls-cert CERT --tls-key KEY    with a certificate of your own
  a reverse proxy with a certificate                     in front of port %[1]s, and serve --public-url
  adb reverse tcp:%[1]s tcp:%[1]s                         an Android phone on a cable: http://localhost:%[1]s/

Kept in %[2]s (begin again: add -fresh). Stop with Ctrl-C.

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
