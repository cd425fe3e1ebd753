package main

import (
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"strconv"
	"time"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// photoPolicy lets a picture that is opened as a page do nothing at all.
const photoPolicy = "default-src 'none'; sandbox; frame-ancestors 'none'"

// largeBodies are the requests that may bring more than maxBody.
var largeBodies = map[string]int64{"PUT /api/photo/{name}": opsync.PictureChunk, "POST /api/photos/lacks": 16 << 10, "POST /c/{code}/photo": crewUpload}

// photo serves one picture to those on its site. A picture never changes under its name, so browsers
// may keep it for good.
func (s *server) photo(w http.ResponseWriter, q *http.Request) error {
	site, name, _, err := s.aboutPhoto(q)
	if err != nil {
		return err
	}
	b, err := s.photoBytes(site, name)
	if err != nil {
		return photoTrouble(err)
	}
	h := w.Header()
	h.Set("Content-Type", "image/jpeg")
	h.Set("Content-Disposition", `inline; filename="photo-`+name[:12]+`.jpg"`)
	h.Set("Content-Security-Policy", photoPolicy)
	h.Set("Cache-Control", "private, max-age=31536000, immutable")
	h.Set("ETag", `"`+name+`"`)
	if q.Header.Get("If-None-Match") == h.Get("ETag") {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	h.Set("Content-Length", strconv.Itoa(len(b)))
	if q.Method == http.MethodHead {
		return nil
	}
	if _, err := w.Write(b); err != nil {
		slog.Debug("picture not sent", "err", err)
	}
	return nil
}

// photoBytes reads one picture of a site, checked against its name. When it is not here, the phones of
// the site are asked for it and the error is errNoPhoto.
func (s *server) photoBytes(site, name string) ([]byte, error) {
	if !validID(site) || !schedule.ValidFile(name) {
		return nil, errNoPhoto
	}
	b, err := s.photos.read(site, name)
	if errors.Is(err, errNoPhoto) && s.photos.askAgain(site, name) {
		s.sites.want(site, []string{name})
	}
	return b, err
}

// aboutPhoto finds whose picture a request is about.
func (s *server) aboutPhoto(q *http.Request) (site, name string, x seat, err error) {
	site, name = q.URL.Query().Get("site"), q.PathValue("name")
	if x, err = s.seated(q, site); err != nil {
		return site, name, x, err
	}
	if !schedule.ValidFile(name) {
		err = &refusal{http.StatusNotFound, "A picture is asked for by its name, 64 digits."}
	}
	return site, name, x, err
}

// photoPiece takes a piece of a picture: ?at= is where it begins, ?of= how long the whole picture is. The
// answer says how much is here; 409 with the same means that the piece begins elsewhere.
func (s *server) photoPiece(w http.ResponseWriter, q *http.Request) error {
	site, name, x, err := s.aboutPhoto(q)
	if err != nil {
		return err
	}
	if !x.Role.Writes() {
		return &refusal{http.StatusForbidden, "This phone may look at the site but not add pictures."}
	}
	at, err1 := strconv.ParseInt(q.URL.Query().Get("at"), 10, 64)
	of, err2 := strconv.ParseInt(q.URL.Query().Get("of"), 10, 64)
	if err1 != nil || err2 != nil || at < 0 {
		return errJSON
	}
	have, err := s.photos.take(site, name, at, of, q.Body)
	var where errWhere
	switch {
	case errors.As(err, &where):
		writeJSON(w, http.StatusConflict, map[string]any{"have": where.have, "error": sentence(where.Error())})
		return nil
	case err != nil:
		return photoTrouble(err)
	}
	writeJSON(w, http.StatusOK, map[string]any{"have": have, "whole": have == of})
	return nil
}

// photoTrouble gives the errors a phone can do something about their answers.
func photoTrouble(err error) error {
	var no *refusal
	var long *http.MaxBytesError
	for e, status := range map[error]int{errNoPhoto: http.StatusNotFound,
		errPhotoSize: http.StatusRequestEntityTooLarge, errPhotoName: http.StatusUnprocessableEntity,
		errPhotoBusy: http.StatusServiceUnavailable, errPhotos: http.StatusInsufficientStorage, errParts: http.StatusInsufficientStorage,
		io.ErrUnexpectedEOF: http.StatusBadRequest} {
		if errors.Is(err, e) {
			return &refusal{status, sentence(e.Error())}
		}
	}
	switch {
	case errors.As(err, &no):
		return no
	case errors.As(err, &long):
		return &refusal{http.StatusRequestEntityTooLarge, fmt.Sprintf("A piece has at most %d kB.", opsync.PictureChunk>>10)}
	}
	return err
}

// photoLacks answers which of some pictures are not here, and how much of each is.
func (s *server) photoLacks(w http.ResponseWriter, q *http.Request) error {
	var in struct {
		Site  string   `json:"site"`
		Files []string `json:"files"`
	}
	if err := readJSON(q, &in); err != nil {
		return err
	}
	if _, err := s.seated(q, in.Site); err != nil {
		return err
	}
	if len(in.Files) > opsync.MaxWanted {
		return errJSON
	}
	lacks := map[string]int64{}
	for _, name := range in.Files {
		if !schedule.ValidFile(name) {
			return errJSON
		}
		if have, whole := s.photos.have(in.Site, name); !whole {
			lacks[name] = have
		}
	}
	writeJSON(w, http.StatusOK, map[string]any{"lacks": lacks})
	return nil
}

// want asks the phones of a site that are connected for pictures.
func (all *sites) want(id string, files []string) {
	all.mu.Lock()
	x := all.open[id]
	all.mu.Unlock()
	if x == nil {
		return // nobody is there to ask; they offer what they have when the store is new to them
	}
	x.hubMu.Lock()
	defer x.hubMu.Unlock()
	if !x.dead {
		x.send(x.hub.Want(files), false)
	}
}

// How often all pictures are looked through, and how often phones that are connected are asked for those
// that turned out to be missing.
const (
	tendEvery = 24 * time.Hour
	lackEvery = 10 * time.Minute
)

// askForLacks asks the phones of every site for the pictures it was found to lack.
func (s *server) askForLacks() {
	for _, site := range s.photos.sitesThatLack() {
		if names := s.photos.lacking(site); len(names) > 0 {
			s.sites.want(site, names)
		}
	}
}

// tendPhotos looks after the pictures of every site, until stop is closed. Folders of sites that this store
// does not know are not its to tidy.
func (s *server) tendPhotos(stop <-chan struct{}) {
	var all []string
	if err := s.store.each("site/", func(site string, _ []byte) error { all = append(all, site); return nil }); err != nil {
		slog.Error("pictures not tended", "err", err)
	}
	for _, site := range all {
		select {
		case <-stop:
			return
		default:
		}
		if err := s.tendSite(site); err != nil {
			slog.Error("pictures not tended", "site", site, "err", err)
		}
	}
}

func (s *server) tendSite(site string) error {
	doc, err := s.store.document(site)
	if err != nil {
		return err
	}
	all, err := photosIn(doc)
	if err != nil {
		return err
	}
	return s.photos.tend(site, all)
}

// keepTending tends the pictures once a day, the first time ten minutes after the start. The returned function ends it and waits until no
// more is read from the store.
func (s *server) keepTending() (rest func()) {
	stop, over := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(over)
		tick := time.NewTicker(lackEvery)
		defer tick.Stop()
		var last time.Time // not at once: a server that starts has better things to do
		for {
			select {
			case <-tick.C:
			case <-stop:
				return
			}
			if now := s.now(); now.Sub(last) >= tendEvery {
				s.tendPhotos(stop)
				last = now
			}
			s.askForLacks()
		}
	}()
	return func() { close(stop); <-over }
}
