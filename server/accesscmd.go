package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"time"

	opsync "batterboard/sync"
)

// access: batterboard access [list|owner|revoke|recovery] --data DIR. Who has a shell on the server can
// always get in again: no lockout and no lost phone stands against it.
func access(args []string, out, errs io.Writer) error {
	word := "list"
	if len(args) > 0 && len(args[0]) > 0 && args[0][0] != '-' {
		word, args = args[0], args[1:]
	}
	fs := flags("access " + word)
	data := fs.String("data", "data", "`DIR`, the folder of the store")
	site := fs.String("site", "", "the site's `ID`; not needed when there is only one")
	device := fs.String("device", "", "revoke: the device's `ID`, as the list shows it")
	anyway := fs.Bool("even-last", false, "revoke: also the last owner of a site")
	asJSON := fs.Bool("json", false, "write JSON, for machines")
	if err := parse(fs, args); err != nil {
		return err
	}
	if fs.NArg() > 0 {
		return badInput("access %s takes no %q", word, fs.Arg(0))
	}
	switch word {
	case "list", "owner", "recovery":
	case "revoke":
		if !validID(*device) {
			return badInput("say which device with --device; batterboard access list shows them")
		}
	default:
		return badInput("access has no %q: there are list, owner, revoke and recovery", word)
	}
	if !hasStore(*data) {
		return badInput("there is no store in %s", *data)
	}
	var raw bytes.Buffer
	if err := atStore(*data, ask{Do: word, Site: *site, Device: *device, Anyway: *anyway}, &raw); err != nil {
		return err
	}
	if *asJSON && raw.Len() > 0 {
		_, err := out.Write(raw.Bytes())
		return err
	}
	return accessWords(word, raw.Bytes(), out)
}

func accessWords(word string, raw []byte, out io.Writer) error {
	switch word {
	case "list":
		var all []siteAccess
		if err := json.Unmarshal(raw, &all); err != nil {
			return err
		}
		return listWords(all, out)
	case "revoke":
		_, err := fmt.Fprintln(out, "taken off the site; what that phone holds of it stays on it")
		return err
	case "recovery":
		var a ownerCode
		if err := json.Unmarshal(raw, &a); err != nil {
			return err
		}
		_, err := fmt.Fprintf(out, "recovery code %s\nKeep it where the server is not. Typed in the app as a code, it makes that phone an owner of every site here; it works once. The one before it opens nothing any more.\n", spaced(a.Code))
		return err
	}
	var a ownerCode
	if err := json.Unmarshal(raw, &a); err != nil {
		return err
	}
	_, err := fmt.Fprintf(out, "site %s\n%s", a.Site, a.words())
	return err
}

// words says how a code is used.
func (a ownerCode) words() string {
	if a.Link != "" {
		return fmt.Sprintf("owner link %s\nIt works once, within 24 hours.\n", a.Link)
	}
	return fmt.Sprintf("owner code %s: type it in the app within 24 hours, or open the app's address with /#/pair/%s behind it\n", spaced(a.Code), a.Code)
}

// siteAccess is one site and who is on it.
type siteAccess struct {
	Site    string         `json:"site"`
	Name    string         `json:"name"`
	Devices []deviceAccess `json:"devices"`
}

type deviceAccess struct {
	Device string      `json:"device"`
	Num    uint32      `json:"num"`
	Name   string      `json:"name"`
	Role   opsync.Role `json:"role"`
	Paired string      `json:"paired,omitempty"` // the day, UTC
	Gone   bool        `json:"gone,omitempty"`
}

func listWords(all []siteAccess, out io.Writer) error {
	for _, s := range all {
		fmt.Fprintf(out, "%s  %s\n", s.Site, s.Name)
		for _, d := range s.Devices {
			gone := ""
			if d.Gone {
				gone = "  (taken off)"
			}
			fmt.Fprintf(out, "  %s  %-6s  %s  %s%s\n", d.Device, d.Role, d.Paired, d.Name, gone)
		}
	}
	if len(all) == 0 {
		_, err := fmt.Fprintln(out, "no site yet")
		return err
	}
	return nil
}

func (s *server) answerList(a ask, out io.Writer) error {
	all := []siteAccess{}
	err := s.store.each("site/", func(id string, _ []byte) error {
		if a.Site != "" && a.Site != id {
			return nil
		}
		name, err := s.store.text(string(nameKey(id)))
		if err != nil {
			return err
		}
		x := siteAccess{id, name, []deviceAccess{}}
		seats, err := s.store.seats(id)
		for _, o := range seats {
			var d deviceRecord
			if o.Crew != "" || s.store.read(deviceKey(o.Device), &d) != nil {
				continue // no phone: a crew's page, or an import
			}
			x.Devices = append(x.Devices, deviceAccess{o.Device, o.Num, o.Name, o.Role,
				time.Unix(d.Made, 0).UTC().Format(time.DateOnly), o.Gone})
		}
		all = append(all, x)
		return err
	})
	if err != nil {
		return err
	}
	return json.NewEncoder(out).Encode(all)
}

// answerOwner makes a one-time link that lets a phone in as an owner of a site.
func (s *server) answerOwner(a ask, out io.Writer) error {
	site, err := s.store.pickSite(a.Site)
	if err != nil {
		return err
	}
	return s.ownerLink(ownerCode{Site: site}, out)
}

// ownerLink adds a new code to what is known of the site, and writes it.
func (s *server) ownerLink(o ownerCode, out io.Writer) error {
	now := s.now()
	code := newCode(ownerLetters)
	if err := s.store.addCode(code, codeRecord{Site: o.Site, Role: opsync.Owner, Until: now.Add(ownerLife).Unix()}, now); err != nil {
		return err
	}
	slog.Info("owner link made in the shell", "site", o.Site)
	o.Code = code
	if s.home != "" {
		o.Link = s.home + "/#/pair/" + code
	}
	return json.NewEncoder(out).Encode(o)
}

// answerRevoke takes a device off one site, or off all that it is on.
func (s *server) answerRevoke(a ask) error {
	seats, err := s.store.seatsOf(a.Device)
	if err != nil {
		return err
	}
	n := 0
	for _, x := range seats {
		if a.Site != "" && a.Site != x.Site {
			continue
		}
		n++
		if err := s.unseat(x.Site, x.Device, a.Anyway); err != nil {
			if errors.Is(err, errLastOwner) {
				return badInput("site %s: %w; or take it off all the same with --even-last, and make a new owner link with batterboard access owner", x.Site, err)
			}
			return err
		}
		slog.Info("revoked in the shell", "site", x.Site, "device", x.Device)
	}
	if n == 0 {
		return badInput("device %s is on no such site; batterboard access list shows who is", a.Device)
	}
	return nil
}

func (s *server) answerRecovery(out io.Writer) error {
	code, err := s.store.newRecovery()
	if err != nil {
		return err
	}
	return json.NewEncoder(out).Encode(ownerCode{Code: code})
}
