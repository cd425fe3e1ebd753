package main

import (
	"log/slog"
	"net/http"

	opsync "batterboard/sync"
)

// invite mints a one-time code for a second phone.
func (s *server) invite(w http.ResponseWriter, q *http.Request) error {
	var in struct {
		Site string
		Role opsync.Role
	}
	if err := readJSON(q, &in); err != nil {
		return err
	}
	x, err := s.seated(q, in.Site)
	if err != nil {
		return err
	}
	if !mayInvite(x.Role, in.Role) {
		return errRole
	}
	code, until := newCode(inviteLetters), s.now().Add(inviteLife)
	if err := s.store.addCode(code, codeRecord{Site: in.Site, Role: in.Role, Until: until.Unix()}, s.now()); err != nil {
		return err
	}
	slog.Info("invited", "site", in.Site, "device", x.Device, "role", in.Role)
	writeJSON(w, http.StatusOK, map[string]any{
		"code": spaced(code), "url": s.base(q) + "/#/pair/" + code, "until": until.UnixMilli(), "role": in.Role,
	})
	return nil
}

// deviceLine is one phone in the list of those on a site.
type deviceLine struct {
	Device string      `json:"device"`
	Num    uint32      `json:"num"`
	Name   string      `json:"name"`
	Role   opsync.Role `json:"role"`
	Gone   bool        `json:"gone,omitempty"`
	You    bool        `json:"you,omitempty"`
}

func (s *server) devices(w http.ResponseWriter, q *http.Request) error {
	x, err := s.seated(q, q.URL.Query().Get("site"))
	if err != nil {
		return err
	}
	seats, err := s.store.seats(x.Site)
	if err != nil {
		return err
	}
	list := []deviceLine{}
	for _, o := range seats {
		if o.Crew != "" {
			continue // a crew's page is no phone
		}
		list = append(list, deviceLine{o.Device, o.Num, o.Name, o.Role, o.Gone, o.Device == x.Device})
	}
	writeJSON(w, http.StatusOK, map[string]any{"devices": list})
	return nil
}

// revoke takes a device off a site and drops its sockets. A device may take itself off.
func (s *server) revoke(w http.ResponseWriter, q *http.Request) error {
	var in struct{ Site, Device string }
	if err := readJSON(q, &in); err != nil {
		return err
	}
	x, err := s.seated(q, in.Site)
	if err != nil {
		return err
	}
	if x.Role != opsync.Owner && in.Device != x.Device {
		return errRole
	}
	if err := s.unseat(in.Site, in.Device, false); err != nil {
		return err
	}
	slog.Info("revoked", "site", in.Site, "device", in.Device, "by", x.Device)
	writeJSON(w, http.StatusOK, map[string]bool{"ok": true})
	return nil
}

// name is what the others see a device as from here on. Each names itself.
func (s *server) name(w http.ResponseWriter, q *http.Request) error {
	var in struct{ Site, Name string }
	if err := readJSON(q, &in); err != nil {
		return err
	}
	x, err := s.seated(q, in.Site)
	if err != nil {
		return err
	}
	if err := s.store.name(x.Site, x.Device, in.Name); err != nil {
		return err
	}
	slog.Info("named", "site", x.Site, "device", x.Device)
	if err := s.sites.renamed(x.Site); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]bool{"ok": true})
	return nil
}

// unseat takes a device off a site and drops its sockets.
func (s *server) unseat(site, device string, anyway bool) error {
	if err := s.store.revoke(site, device, anyway); err != nil {
		return err
	}
	s.sites.drop(closeRevoked, "This phone was taken off the site.", func(o seat) bool {
		return o.Site == site && o.Device == device
	})
	return nil
}
