package main

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"io"
	"net/http"
	"unicode/utf8"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// What a file is, is told by its bytes: not by its name, not by what the sender says of it. Of the four types that are
// kept only pictures are ever drawn by a browser in our place; a PDF and a text are handed over to be saved.

// headLen is how much of a file tells its type.
const headLen = 512

// typeOf tells the type of a file by how it begins; empty when it is none that is kept. The PDF header stands in the
// first line (ISO 32000-2, 7.5.2), the signature of a PNG is that of its specification (5.2), a JPEG begins
// with SOI and another marker (ITU-T T.81, B.1.1.3). What is neither and reads as text is a text, unless it
// begins like a page or a drawing, which browsers might run.
func typeOf(head []byte) schedule.PaperType {
	head = head[:min(len(head), headLen)]
	switch {
	case bytes.HasPrefix(head, []byte("%PDF-")):
		return schedule.PDF
	case bytes.HasPrefix(head, []byte(pngSignature)):
		return schedule.PNG
	case bytes.HasPrefix(head, []byte{0xff, markSOI, 0xff}):
		return schedule.JPEG
	case readsAsText(head):
		return schedule.Plain
	}
	return ""
}

// readsAsText: UTF-8 without controls but those of lines. The last letter may be cut off.
func readsAsText(b []byte) bool {
	start := bytes.TrimLeft(bytes.TrimPrefix(b, []byte("\xef\xbb\xbf")), " \t\r\n\f")
	if len(start) == 0 || start[0] == '<' {
		return false
	}
	for len(b) > 0 {
		r, n := utf8.DecodeRune(b)
		if r == utf8.RuneError && n == 1 {
			return !utf8.FullRune(b)
		}
		if r < 0x20 && r != '\t' && r != '\n' && r != '\r' && r != '\f' || r >= 0x7f && r < 0xa0 {
			return false
		}
		b = b[n:]
	}
	return true
}

// mostOf is the most bytes a file of a type has.
func mostOf(t schedule.PaperType) int64 {
	if t == schedule.PDF {
		return opsync.MaxPaper
	}
	return opsync.MaxPicture
}

func notKept(why string) error {
	return coded{&refusal{http.StatusUnsupportedMediaType, "This file is not kept: " + why + ". Nothing was stored."}, codeNotKept}
}

// checkHead refuses what no more needs to come of: files of no type that is kept, and those too long for theirs.
func checkHead(head []byte, size int64) error {
	t := typeOf(head)
	if t == "" {
		return notKept("it is no JPEG, PNG, PDF or plain text, whatever it is called")
	}
	if size > mostOf(t) {
		return errPhotoSize
	}
	return nil
}

// checkKept looks at a whole file.
func checkKept(b []byte) error {
	if err := checkHead(b, int64(len(b))); err != nil {
		return err
	}
	switch typeOf(b) {
	case schedule.JPEG:
		return checkPicture(b)
	case schedule.PNG:
		return checkPNG(b)
	case schedule.PDF:
		return checkPDF(b)
	}
	if !readsAsText(b) || !utf8.Valid(b) {
		return notKept("it begins like a text and is none")
	}
	return nil
}

// checkPDF asks for the end of a PDF: the offset of its table and the marker behind it (ISO 32000-2, 7.5.5), which
// readers look for in the last 1,024 bytes. What is in between is for the reader the phone has: nothing of
// it is ever opened here, or on a page of ours.
func checkPDF(b []byte) error {
	end := b[max(0, len(b)-1024):]
	if table := bytes.LastIndex(end, []byte("startxref")); table < 0 || !bytes.Contains(end[table:], []byte("%%EOF")) {
		return notKept("it begins like a PDF and ends in the middle")
	}
	return nil
}

const pngSignature = "\x89PNG\r\n\x1a\n"

// pngPicture are the chunks that say how a picture looks (PNG, third edition, 11.2 and 11.3). Texts, times and Exif
// are left out by the phone and not taken here: they may say where it was made.
var pngPicture = map[string]bool{"IHDR": true, "PLTE": true, "IDAT": true, "IEND": true, "tRNS": true, "gAMA": true,
	"cHRM": true, "sRGB": true, "iCCP": true, "cICP": true, "sBIT": true, "bKGD": true, "pHYs": true}

// checkPNG walks through the chunks, then unpacks the rows without keeping them.
func checkPNG(b []byte) error {
	var rows int64
	var packed []io.Reader
	for rest := b[len(pngSignature):]; ; {
		name, body, after, ok := chunk(rest)
		switch {
		case !ok:
			return notKept("it begins like a PNG and is not put together like one")
		case !pngPicture[name]:
			return notKept("it is a PNG that carries more than a picture")
		case (name == "IHDR") != (rows == 0):
			return notKept("it is a PNG without one head in front")
		case name == "IHDR":
			if rows = pngRows(body); rows == 0 {
				return notKept("it is a PNG larger, or of another kind, than the app makes them")
			}
		case name == "IDAT":
			packed = append(packed, bytes.NewReader(body))
		case name == "IEND":
			if len(body)+len(after) > 0 {
				return notKept("something hangs on behind its end")
			}
			return unpacks(io.MultiReader(packed...), rows)
		}
		rest = after
	}
}

// chunk cuts one chunk off: length, name, body, CRC of the two (5.3).
func chunk(b []byte) (name string, body, after []byte, ok bool) {
	if len(b) < 12 {
		return "", nil, nil, false
	}
	n := binary.BigEndian.Uint32(b)
	if uint64(n)+12 > uint64(len(b)) {
		return "", nil, nil, false
	}
	ok = crc32.ChecksumIEEE(b[4:8+n]) == binary.BigEndian.Uint32(b[8+n:])
	return string(b[4:8]), b[8 : 8+n], b[12+n:], ok
}

// pngRows is how many bytes the rows of a picture have unpacked, with the filter byte of each (11.2.1, 9.2): colour in
// eight bits a sample, not interlaced, as canvases write it; 0 for another one.
func pngRows(head []byte) int64 {
	if len(head) != 13 || head[8] != 8 || head[10]|head[11]|head[12] != 0 {
		return 0
	}
	wide, high := binary.BigEndian.Uint32(head), binary.BigEndian.Uint32(head[4:])
	samples := map[byte]int64{0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[head[9]]
	if samples == 0 || wide == 0 || high == 0 || wide > opsync.MaxPictureSide || high > opsync.MaxPictureSide {
		return 0
	}
	return int64(high) * (1 + int64(wide)*samples)
}

// unpacks says whether packed data unpacks to exactly n bytes.
func unpacks(packed io.Reader, n int64) error {
	z, err := zlib.NewReader(packed)
	if err == nil {
		var got int64
		if got, err = io.Copy(io.Discard, io.LimitReader(z, n+1)); err == nil && got == n {
			return nil
		}
	}
	return notKept("it is a PNG that does not unpack to its size")
}
