package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"mime"
	"net/http"
	"os"
	"strconv"
	"time"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// photoPolicy lets a picture that is opened as a page do nothing at all.
const photoPolicy = "default-src 'none'; sandbox; frame-ancestors 'none'"

// largeBodies are the requests that may bring more than maxBody.
var largeBodies = map[string]int64{"PUT /api/photo/{name}": opsync.PictureChunk, "POST /api/photos/lacks": 16 << 10, "POST /c/{code}/photo": crewUpload}

// photo serves one picture or paper to those on its site, also a piece of it (RFC 9110, 14.2). A picture never
// changes under its name, so browsers may keep it for good.
func (s *server) photo(w http.ResponseWriter, q *http.Request) error {
	site, name, _, err := s.aboutPhoto(q)
	if err != nil {
		return err
	}
	f, err := s.openPhoto(site, name)
	if err != nil {
		return photoTrouble(err)
	}
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	return serveKept(w, q, f, "", name)
}

// serveKept hands a file out and closes it. Its bytes say what it is. Only a JPEG may be shown in our place; all
// else is to be saved, and opened by what the phone has for it: a PDF may have scripts in it, which have no
// business at our address. called is what people call it; etag, its name.
func serveKept(w http.ResponseWriter, q *http.Request, f *os.File, called, etag string) error {
	defer f.Close() // it was only read
	head := make([]byte, headLen)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return err
	}
	of := typeOf(head[:n])
	h := w.Header()
	h.Set("Content-Type", contentType(of))
	h.Set("Content-Disposition", disposition(of, called, etag))
	h.Set("Content-Security-Policy", photoPolicy)
	h.Set("ETag", `"`+etag+`"`)
	http.ServeContent(w, q, "", time.Time{}, f)
	return nil
}

func contentType(of schedule.PaperType) string {
	switch of {
	case "":
		return "application/octet-stream"
	case schedule.Plain:
		return "text/plain; charset=utf-8"
	}
	return string(of)
}

// disposition says what a browser is to do with a file, and its name in a form for every alphabet (RFC 6266, RFC 8187).
func disposition(of schedule.PaperType, called, name string) string {
	end := "." + of.Ending()
	switch {
	case of == schedule.JPEG && called == "":
		return `inline; filename="photo-` + name[:12] + `.jpg"`
	case called == "":
		return `attachment; filename="paper-` + name[:12] + end + `"`
	}
	return mime.FormatMediaType("attachment", map[string]string{"filename": called + end})
}

// openPhoto opens one picture or paper of a site, checked against its name. When it is not here, the phones of
// the site are asked for it and the error is errNoPhoto.
func (s *server) openPhoto(site, name string) (*os.File, error) {
	if !validID(site) || !schedule.ValidFile(name) {
		return nil, errNoPhoto
	}
	f, err := s.photos.open(site, name)
	if errors.Is(err, errNoPhoto) && s.photos.askAgain(site, name) {
		s.sites.want(site, []string{name})
	}
	return f, err
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
		return errLooksOn
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
			return coded{&refusal{status, sentence(e.Error())}, cmp.Or(answerCodes[e], codeCutOff)}
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
