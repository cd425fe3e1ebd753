package main

import (
	"bytes"
	"encoding/binary"
	"image/jpeg"
	"net/http"

	opsync "batterboard/sync"
)

// What is taken for a picture. Phones make baseline JPEGs (ITU-T T.81) with a canvas; anything else came
// another way and is refused, whatever it calls itself: pages and scripts that begin like a picture,
// pictures with something behind their end, small files that unfold to a wall, and pictures that say
// where they were taken (Exif 2.3, the pointer to a GPS directory).

func notAPicture(why string) error {
	return coded{&refusal{http.StatusUnsupportedMediaType, "This is not a picture the server keeps: " + why + ". Nothing was stored."}, codeNotKept}
}

// The markers of T.81, table B.1, that are looked at.
const (
	markSOI   = 0xd8
	markEOI   = 0xd9
	markSOS   = 0xda
	markSOF0  = 0xc0
	markDHT   = 0xc4
	markDQT   = 0xdb
	markDRI   = 0xdd
	markAPP0  = 0xe0
	markAPP1  = 0xe1
	markAPP2  = 0xe2
	markAPP14 = 0xee
)

// checkPicture looks at every segment before anything is decoded, then decodes.
func checkPicture(b []byte) error {
	if len(b) < 4 || b[0] != 0xff || b[1] != markSOI {
		return notAPicture("it is no JPEG")
	}
	framed := false
	for rest := b[2:]; ; {
		mark, body, after, ok := segment(rest)
		if !ok {
			return notAPicture("it ends in the middle or is not put together like a JPEG")
		}
		switch mark {
		case markEOI:
			if len(after) > 0 {
				return notAPicture("something hangs on behind its end")
			}
			if !framed {
				return notAPicture("it has no picture in it")
			}
			return decodes(b)
		case markSOF0:
			if framed {
				return notAPicture("it has two frames")
			}
			if err := checkFrame(body); err != nil {
				return err
			}
			framed = true
		case markSOS:
			after = after[scanEnd(after):]
		case markDHT, markDQT, markDRI:
		default:
			if err := checkExtra(mark, body); err != nil {
				return err
			}
		}
		rest = after
	}
}

// segment cuts one marker segment off: two bytes of marker, and for most a length and a body.
func segment(b []byte) (mark byte, body, after []byte, ok bool) {
	for len(b) > 1 && b[0] == 0xff && b[1] == 0xff { // fill bytes, B.1.1.2
		b = b[1:]
	}
	if len(b) < 2 || b[0] != 0xff {
		return 0, nil, nil, false
	}
	mark, b = b[1], b[2:]
	if mark == markEOI {
		return mark, nil, b, true
	}
	if len(b) < 2 {
		return 0, nil, nil, false
	}
	n := int(binary.BigEndian.Uint16(b))
	if n < 2 || n > len(b) {
		return 0, nil, nil, false
	}
	return mark, b[2:n], b[n:], true
}

// scanEnd finds the marker that ends the coded data: not a stuffed zero, not a restart (B.1.1.5, F.1.2.3).
func scanEnd(b []byte) int {
	for i := 0; i+1 < len(b); i++ {
		if b[i] == 0xff && b[i+1] != 0 && b[i+1] != 0xff && (b[i+1] < 0xd0 || b[i+1] > 0xd7) {
			return i
		}
	}
	return len(b)
}

// checkFrame reads the size of the picture (B.2.2) before memory is spent on it.
func checkFrame(body []byte) error {
	if len(body) < 6 {
		return notAPicture("its frame is cut off")
	}
	high, wide := int(binary.BigEndian.Uint16(body[1:])), int(binary.BigEndian.Uint16(body[3:]))
	if high == 0 || wide == 0 || high > opsync.MaxPictureSide || wide > opsync.MaxPictureSide {
		return notAPicture("it is larger than the app makes pictures")
	}
	return nil
}

// checkExtra lets pass what canvases write beside the picture: JFIF, a colour profile, Adobe's colour
// mark, and Exif without a place.
func checkExtra(mark byte, body []byte) error {
	switch {
	case mark == markAPP0 && (bytes.HasPrefix(body, []byte("JFIF\x00")) || bytes.HasPrefix(body, []byte("JFXX\x00"))):
	case mark == markAPP2 && bytes.HasPrefix(body, []byte("ICC_PROFILE\x00")):
	case mark == markAPP14 && bytes.HasPrefix(body, []byte("Adobe")):
	case mark == markAPP1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")):
		if saysWhere(body[6:]) {
			return notAPicture("it says where it was taken, which the app takes out")
		}
	default:
		return notAPicture("it carries more than a picture")
	}
	return nil
}

// saysWhere looks for the GPS pointer in Exif's first directory (Exif 2.3, 4.6.3: tag 0x8825). What
// cannot be read counts as saying so.
func saysWhere(tiff []byte) bool {
	order, at, n, ok := firstDirectory(tiff)
	if !ok {
		return true
	}
	for i := range n {
		if order.Uint16(tiff[at+2+12*i:]) == 0x8825 {
			return true
		}
	}
	return false
}

// decodes takes the picture apart to the last row.
func decodes(b []byte) error {
	if _, err := jpeg.Decode(bytes.NewReader(b)); err != nil {
		return notAPicture("it does not decode")
	}
	return nil
}
