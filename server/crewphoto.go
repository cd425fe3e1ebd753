package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"log/slog"
	"mime/multipart"
	"net/http"
	"slices"
	"time"

	"batterboard/client/engine"
	opsync "batterboard/sync"
)

// Pictures on a crew's page. Those the owner shares are shown; one the crew takes is sent by a plain
// form, so it comes as the camera made it: large, turned, and with the place in it. The server makes
// of it what a phone with the app would have made, a smaller picture that is nothing but a picture.

const (
	crewUpload   = 14 << 20 // bytes of a form with a picture; cameras of phones write 2 to 12 MB (common practice, no source)
	crewPixels   = 26 << 20 // of a picture that is taken in: 24 million and a little, 39 MB decoded
	uploadWait   = 4 * time.Minute
	photoQuality = 80
)

var errNoPicture = errors.New("no picture that can be read")

// crewPhoto serves a picture that the page shows, and no other.
func (s *server) crewPhoto(w http.ResponseWriter, q *http.Request) error {
	v, ok, err := s.crewAt(w, q, s.looks)
	if err != nil || !ok {
		return err
	}
	p, ok := v.site.crewPage(v.Crew, s.siteNow)
	name := q.PathValue("name")
	if !ok || !p.Shows(name) {
		return s.noCrew(w)
	}
	f, err := s.openPhoto(v.Site, name)
	if errors.Is(err, errNoPhoto) {
		w.WriteHeader(http.StatusNotFound) // a phone that has it hands it in when it has signal
		return nil
	}
	if err != nil {
		return err
	}
	return serveKept(w, q, f, p.PaperName(name), name)
}

// onlyHere leaves out pictures that the server has not got, and asks the phones for them: a page with
// holes in it tells a crew nothing. p is a copy; what it points to is not touched.
func (s *server) onlyHere(site string, p engine.CrewPage) engine.CrewPage {
	photos := func(all []engine.CrewPhoto) []engine.CrewPhoto {
		return slices.DeleteFunc(slices.Clone(all), func(c engine.CrewPhoto) bool { return !s.here(site, c.Small) })
	}
	papers := func(all []engine.CrewPaper) []engine.CrewPaper {
		return slices.DeleteFunc(slices.Clone(all), func(c engine.CrewPaper) bool { return !s.here(site, c.File) })
	}
	p.Photos, p.Papers = photos(p.Photos), papers(p.Papers)
	p.Visits = slices.Clone(p.Visits)
	for i := range p.Visits {
		v := &p.Visits[i]
		v.Photos, v.Papers = photos(v.Photos), papers(v.Papers)
	}
	return p
}

// here says whether the server has a file, and asks the phones for it when it has not.
func (s *server) here(site, name string) bool {
	_, whole := s.photos.have(site, name)
	if !whole && s.photos.askAgain(site, name) {
		s.sites.want(site, []string{name})
	}
	return whole
}

// crewSend takes a picture from a crew. There is no second question: nobody picks a file by mistake and
// sends it, and the page would have to be given the picture twice.
func (s *server) crewSend(w http.ResponseWriter, q *http.Request) error {
	v, ok, err := s.crewAt(w, q, s.pages)
	if err != nil || !ok {
		return err
	}
	p, ok := v.site.crewPage(v.Crew, s.siteNow)
	if !ok {
		return s.noCrew(w)
	}
	words := crewWordsIn(p.Lang)
	switch {
	case !s.fromOurPage(q):
		return s.crewDraw(w, q, v, http.StatusForbidden, words.Foreign, false)
	case !s.says.take(s.address(q)):
		return s.crewDraw(w, q, v, http.StatusTooManyRequests, words.TooMany, false)
	}
	select {
	case s.uploads <- struct{}{}:
		defer func() { <-s.uploads }()
	default:
		return s.crewDraw(w, q, v, http.StatusServiceUnavailable, words.Busy, false)
	}
	// A picture takes minutes from where phones have little signal.
	wait := http.NewResponseController(w)
	if err := errors.Join(wait.SetReadDeadline(time.Now().Add(uploadWait)), wait.SetWriteDeadline(time.Now().Add(2*uploadWait))); err != nil {
		slog.Debug("upload: no longer deadline", "err", err)
	}
	c, raw, err := readPicture(q)
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		w.Header().Set("Connection", "close")
		return s.crewDraw(w, q, v, http.StatusRequestEntityTooLarge, words.PhotoBig, false)
	}
	if err != nil {
		return s.crewDraw(w, q, v, http.StatusBadRequest, words.Form, false)
	}
	return s.crewKeep(w, q, v, p, c, raw)
}

// readPicture reads the form in the order our page sends it: the fields, then the file.
func readPicture(q *http.Request) (c engine.CrewPicture, raw []byte, err error) {
	parts, err := q.MultipartReader()
	if err != nil {
		return c, nil, err
	}
	for range 8 {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return c, nil, err
		}
		switch part.FormName() {
		case "visit":
			c.Visit, err = shortPart(part)
		case "said":
			c.Said, err = shortPart(part)
		case "picture":
			raw, err = io.ReadAll(part)
		}
		if err != nil {
			return c, nil, err
		}
	}
	if len(raw) == 0 {
		return c, nil, errNoPicture
	}
	c.Said = cleanSaid(c.Said)
	return c, raw, nil
}

func shortPart(part *multipart.Part) (string, error) {
	b, err := io.ReadAll(io.LimitReader(part, 4<<10))
	return string(b), err
}

// crewKeep stores the picture, then writes it down: what the log names is there.
func (s *server) crewKeep(w http.ResponseWriter, q *http.Request, v crewVisitor, p engine.CrewPage, c engine.CrewPicture, raw []byte) error {
	words := crewWordsIn(p.Lang)
	large, small, err := s.photos.remake(raw)
	if err != nil {
		return s.crewDraw(w, q, v, http.StatusUnsupportedMediaType, words.PhotoBad, false)
	}
	c.File, c.Small, c.Wide, c.High = nameOf(large.bytes), nameOf(small.bytes), large.wide, large.high
	if _, _, no := v.site.crewBoard(s.siteNow).Picture(v.Crew, c, "0"); no != "" {
		return s.crewNot(w, q, v, words, no)
	}
	for _, x := range []remade{small, large} {
		if _, err := s.photos.take(v.Site, nameOf(x.bytes), 0, int64(len(x.bytes)), bytes.NewReader(x.bytes)); err != nil {
			slog.Error("crew's picture not stored", "site", v.Site, "err", err)
			return s.crewDraw(w, q, v, http.StatusServiceUnavailable, words.Busy, false)
		}
	}
	num, err := s.authorNumber(v.Site, v.Crew, p.Name)
	if err != nil {
		return err
	}
	no, err := v.site.write(s.siteNow, num, s.now().UnixMilli(), func(b *engine.CrewBoard, id string) (string, []opsync.Edit, engine.CrewNo, error) {
		text, edits, no := b.Picture(v.Crew, c, id)
		return text, edits, no, nil
	})
	if err != nil {
		slog.Error("crew's picture not written down", "site", v.Site, "err", err)
		return s.crewDraw(w, q, v, http.StatusServiceUnavailable, words.Busy, false)
	}
	if no != "" {
		return s.crewNot(w, q, v, words, no)
	}
	slog.Info("a crew sent a picture", "site", v.Site, "num", num)
	s.push.tellAnswer(v.Site, v.Crew, p.Name, engine.CrewAnswer{Do: "photo"}, p.Today)
	return s.crewDraw(w, q, v, http.StatusOK, words.ThankNote, true)
}

// remade is a picture as it is kept.
type remade struct {
	bytes      []byte
	wide, high int32
}

// remake decodes a camera's picture and makes two of it: as large as phones keep them, and small.
// Pictures are taken apart one at a time, and none beyond crewPixels.
func (a *album) remake(raw []byte) (large, small remade, err error) {
	size, err := jpeg.DecodeConfig(bytes.NewReader(raw))
	if err != nil || size.Width < 1 || size.Height < 1 || size.Width*size.Height > crewPixels {
		return large, small, errNoPicture
	}
	a.decoding.Lock()
	defer a.decoding.Unlock()
	picture, err := jpeg.Decode(bytes.NewReader(raw))
	if err != nil {
		return large, small, errNoPicture
	}
	first := shrink(picture, opsync.PictureSide)
	way := turnOf(raw)
	if large, err = encoded(turned(first, way)); err == nil {
		small, err = encoded(turned(shrink(first, opsync.SmallSide), way))
	}
	return large, small, err
}

func encoded(m *image.RGBA) (r remade, err error) {
	var b bytes.Buffer
	err = jpeg.Encode(&b, m, &jpeg.Options{Quality: photoQuality})
	return remade{b.Bytes(), int32(m.Rect.Dx()), int32(m.Rect.Dy())}, err
}

// shrink scales a picture so that its longer side is at most side: every new pixel is the mean of the
// old ones it covers.
func shrink(m image.Image, side int) *image.RGBA {
	r := m.Bounds()
	w, h := r.Dx(), r.Dy()
	nw, nh := w, h
	if longer := max(w, h); longer > side {
		nw, nh = max(1, w*side/longer), max(1, h*side/longer)
	}
	out := image.NewRGBA(image.Rect(0, 0, nw, nh))
	at := pixels(m)
	for y := range nh {
		y0, y1 := r.Min.Y+y*h/nh, r.Min.Y+max((y+1)*h/nh, y*h/nh+1)
		for x := range nw {
			x0, x1 := r.Min.X+x*w/nw, r.Min.X+max((x+1)*w/nw, x*w/nw+1)
			var sr, sg, sb, n uint32
			for yy := y0; yy < y1; yy++ {
				for xx := x0; xx < x1; xx++ {
					cr, cg, cb := at(xx, yy)
					sr, sg, sb, n = sr+uint32(cr), sg+uint32(cg), sb+uint32(cb), n+1
				}
			}
			i := out.PixOffset(x, y)
			out.Pix[i], out.Pix[i+1], out.Pix[i+2], out.Pix[i+3] = uint8(sr/n), uint8(sg/n), uint8(sb/n), 255
		}
	}
	return out
}

// pixels reads a picture's colours, without an interface in between for what cameras write.
func pixels(m image.Image) func(x, y int) (r, g, b uint8) {
	switch m := m.(type) {
	case *image.YCbCr:
		return func(x, y int) (uint8, uint8, uint8) {
			c := m.COffset(x, y)
			return color.YCbCrToRGB(m.Y[m.YOffset(x, y)], m.Cb[c], m.Cr[c])
		}
	case *image.RGBA:
		return func(x, y int) (uint8, uint8, uint8) {
			i := m.PixOffset(x, y)
			return m.Pix[i], m.Pix[i+1], m.Pix[i+2]
		}
	}
	return func(x, y int) (uint8, uint8, uint8) {
		r, g, b, _ := m.At(x, y).RGBA()
		return uint8(r >> 8), uint8(g >> 8), uint8(b >> 8)
	}
}

// turnOf reads how a camera was held out of Exif (Exif 2.3, 4.6.4: tag 0x0112, 1 to 8); 1 where it does
// not say.
func turnOf(raw []byte) int {
	for rest := raw[2:]; ; {
		mark, body, after, ok := segment(rest)
		if !ok || mark == markSOS || mark == markEOI {
			return 1
		}
		if mark == markAPP1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")) {
			return exifTurn(body[6:])
		}
		rest = after
	}
}

func exifTurn(tiff []byte) int {
	order, at, n, ok := firstDirectory(tiff)
	if !ok {
		return 1
	}
	for i := range n {
		e := tiff[at+2+12*i:]
		if order.Uint16(e) == 0x0112 && order.Uint16(e[2:]) == 3 { // a SHORT
			if v := int(order.Uint16(e[8:])); v >= 1 && v <= 8 {
				return v
			}
		}
	}
	return 1
}

// firstDirectory finds the entries that Exif begins with (TIFF 6.0, section 2): n of twelve bytes each,
// two after at.
func firstDirectory(tiff []byte) (order binary.ByteOrder, at, n int, ok bool) {
	if len(tiff) < 8 {
		return nil, 0, 0, false
	}
	order = binary.BigEndian
	if bytes.HasPrefix(tiff, []byte("II")) {
		order = binary.LittleEndian
	}
	first := int64(order.Uint32(tiff[4:]))
	if first < 8 || first+2 > int64(len(tiff)) {
		return nil, 0, 0, false
	}
	at = int(first)
	n = int(order.Uint16(tiff[at:]))
	return order, at, n, at+2+12*n <= len(tiff)
}

// turned sets a picture upright (the eight ways of tag 0x0112).
func turned(m *image.RGBA, way int) *image.RGBA {
	if way == 1 {
		return m
	}
	w, h := m.Rect.Dx(), m.Rect.Dy()
	nw, nh := w, h
	if way >= 5 {
		nw, nh = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, nw, nh))
	for y := range h {
		for x := range w {
			nx, ny := x, y
			switch way {
			case 2:
				nx = w - 1 - x
			case 3:
				nx, ny = w-1-x, h-1-y
			case 4:
				ny = h - 1 - y
			case 5:
				nx, ny = y, x
			case 6:
				nx, ny = h-1-y, x
			case 7:
				nx, ny = h-1-y, w-1-x
			case 8:
				nx, ny = y, w-1-x
			}
			copy(out.Pix[out.PixOffset(nx, ny):][:4], m.Pix[m.PixOffset(x, y):][:4])
		}
	}
	return out
}
