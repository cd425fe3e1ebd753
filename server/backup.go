package main

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/rs/xid"
)

// A backup is one or more files. Operations are only ever added to a site, so a file that comes after
// another one holds the operations since; everything else is small and is in every file as a whole.
//
// A file is, packed with gzip:
//
//	batterboard backup 1 LF
//	length, backupHead as JSON
//	length+1, key, length, value     for each record; lengths as uvarint
//	0                                the end of the records
//	length, backupEnd as JSON
//	SHA-256 of all before it
//
// It is taken while the server runs, as of one moment. One-time codes are left out. Pictures are files
// already: a backup in one file holds them as records, one in a folder has them beside it.
const backupMagic = "batterboard backup 1\n"

// pictureKey is the prefix of pictures in a backup that is one file: pictureKey SITE/NAME.
const pictureKey = "picture/"

type backupHead struct {
	Store string            `json:"store"`           // which store it is of
	Made  time.Time         `json:"made"`            //
	After string            `json:"after,omitempty"` // the sum of the file it follows; empty: it is complete by itself
	From  map[string]uint64 `json:"from,omitempty"`  // by site, the first operation in it
	By    string            `json:"by"`              // the program's version
}

type backupEnd struct {
	Records int               `json:"records"`
	Left    int               `json:"left,omitempty"` // records that could not be read
	Next    map[string]uint64 `json:"next"`           // by site, where the file after this one begins
}

// maxBackupPart bounds a length in a backup that somebody hands us.
const maxBackupPart = 16 << 20

type backupWriter struct {
	zip *gzip.Writer
	buf *bufio.Writer
	sum hash.Hash
	end backupEnd
}

func newBackupWriter(w io.Writer, h backupHead) (*backupWriter, error) {
	b := &backupWriter{zip: gzip.NewWriter(w), sum: sha256.New()}
	b.end.Next = map[string]uint64{}
	b.buf = bufio.NewWriterSize(io.MultiWriter(b.zip, b.sum), 64<<10)
	if _, err := b.buf.WriteString(backupMagic); err != nil {
		return nil, err
	}
	return b, b.json(h)
}

func (b *backupWriter) json(v any) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return b.part(raw, 0)
}

// part writes a length, more by `more`, and the bytes.
func (b *backupWriter) part(raw []byte, more uint64) error {
	var n [binary.MaxVarintLen64]byte
	if _, err := b.buf.Write(n[:binary.PutUvarint(n[:], uint64(len(raw))+more)]); err != nil {
		return err
	}
	_, err := b.buf.Write(raw)
	return err
}

func (b *backupWriter) record(key, value []byte) error {
	b.end.Records++
	if err := b.part(key, 1); err != nil {
		return err
	}
	return b.part(value, 0)
}

func (b *backupWriter) close() error {
	if err := b.buf.WriteByte(0); err != nil {
		return err
	}
	if err := b.json(b.end); err != nil {
		return err
	}
	if err := b.buf.Flush(); err != nil {
		return err
	}
	if _, err := b.zip.Write(b.sum.Sum(nil)); err != nil {
		return err
	}
	return b.zip.Close()
}

// inBackup says whether a record goes into a backup. Codes may be used and words be said before it is put
// back; the rest belongs to this very store.
func inBackup(key []byte) bool {
	return !bytes.HasPrefix(key, []byte("code/")) && !bytes.HasPrefix(key, []byte("word/")) && string(key) != lastCommit
}

// backup writes what the store holds at this moment; of the operations only those from `from` on. pictures
// is the folder of pictures to put into it, or empty.
func (s *store) backup(w io.Writer, h backupHead, pictures string) error {
	b, err := newBackupWriter(w, h)
	if err != nil {
		return err
	}
	err = s.shelf.view(func(t records) error {
		if err := b.small(t, nil, []byte("op/")); err != nil {
			return err
		}
		if err := b.ops(t, h.From); err != nil {
			return err
		}
		return b.small(t, []byte("op0"), nil) // behind all that begins with op/
	})
	if err == nil && pictures != "" {
		err = b.pictures(pictures)
	}
	if err != nil {
		return fmt.Errorf("write the backup: %w", err)
	}
	return b.close()
}

var errScanned = errors.New("far enough")

// small writes the records from one key to another.
func (b *backupWriter) small(t records, from, to []byte) error {
	err := t.scan(nil, from, func(key, value []byte, err error) error {
		switch {
		case to != nil && bytes.Compare(key, to) >= 0:
			return errScanned
		case err != nil:
			b.left(key, err)
			return nil
		case !inBackup(key):
			return nil
		}
		return b.record(key, value)
	})
	if errors.Is(err, errScanned) {
		return nil
	}
	return err
}

func (b *backupWriter) left(key []byte, err error) {
	b.end.Left++
	slog.Error("backup: a record cannot be read", "kind", strings.SplitN(string(key), "/", 2)[0], "err", err)
}

// ops writes the operations of all sites, of each from its number on.
func (b *backupWriter) ops(t records, from map[string]uint64) error {
	var sites []string
	err := t.scan([]byte("site/"), nil, func(key, _ []byte, _ error) error {
		sites = append(sites, string(key[len("site/"):]))
		return nil
	})
	if err != nil {
		return err
	}
	for _, site := range sites {
		prefix := opPrefix(site)
		b.end.Next[site] = from[site]
		err := t.scan(prefix, opKey(site, from[site]), func(key, value []byte, err error) error {
			b.end.Next[site] = binary.BigEndian.Uint64(key[len(prefix):]) + 1
			if err != nil {
				b.left(key, err)
				return nil
			}
			return b.record(key, value)
		})
		if err != nil {
			return err
		}
	}
	return nil
}

func (b *backupWriter) pictures(dir string) error {
	return eachPicture(dir, func(site, name string) error {
		raw, err := os.ReadFile(filepath.Join(dir, site, name))
		if err != nil {
			return err
		}
		return b.record([]byte(pictureKey+site+"/"+name), raw)
	})
}

// eachPicture names every whole picture under a folder of pictures; there may be none.
func eachPicture(dir string, yield func(site, name string) error) error {
	files, err := filepath.Glob(filepath.Join(dir, "*", "*"))
	if err != nil {
		return err
	}
	for _, path := range files {
		site, name := filepath.Base(filepath.Dir(path)), filepath.Base(path)
		if !validID(site) || !pictureName(name) {
			continue
		}
		if err := yield(site, name); err != nil {
			return err
		}
	}
	return nil
}

// pictureName says whether a file is a whole picture: it is called by the SHA-256 of what is in it.
func pictureName(name string) bool {
	sum, err := hex.DecodeString(name)
	return err == nil && len(sum) == sha256.Size && strings.ToLower(name) == name
}

// backupSum is what a backup was read to be.
type backupSum struct {
	Head backupHead
	End  backupEnd
	Sum  string
}

var errBackup = errors.New("this is no backup of Batterboard, or it is damaged")

// readBackup reads one file, hands every record to yield, and checks the sum at the end: what was yielded
// counts only when there is no error.
func readBackup(r io.Reader, yield func(head backupHead, key, value []byte) error) (b backupSum, err error) {
	zip, err := gzip.NewReader(r)
	if err != nil {
		return b, fmt.Errorf("%w (%v)", errBackup, err)
	}
	in := &backupReader{from: bufio.NewReaderSize(zip, 64<<10), sum: sha256.New()}
	magic, err := in.bytes(uint64(len(backupMagic)))
	if err != nil || string(magic) != backupMagic {
		return b, errBackup
	}
	if err := in.json(&b.Head); err != nil {
		return b, err
	}
	n := 0
	for {
		key, err := in.part(1)
		if err != nil {
			return b, err
		}
		if key == nil {
			break
		}
		value, err := in.part(0)
		if err != nil {
			return b, err
		}
		n++
		if err := yield(b.Head, key, value); err != nil {
			return b, err
		}
	}
	if err := in.json(&b.End); err != nil {
		return b, err
	}
	sum := in.sum.Sum(nil)
	last := make([]byte, sha256.Size)
	if _, err := io.ReadFull(in.from, last); err != nil || !bytes.Equal(sum, last) || b.End.Records != n {
		return b, errBackup
	}
	if _, err := in.from.ReadByte(); !errors.Is(err, io.EOF) { // also checks gzip's own sum
		return b, errBackup
	}
	b.Sum = hex.EncodeToString(sum)
	return b, nil
}

type backupReader struct {
	from *bufio.Reader
	sum  hash.Hash
}

func (r *backupReader) ReadByte() (byte, error) {
	c, err := r.from.ReadByte()
	if err == nil {
		r.sum.Write([]byte{c})
	}
	return c, err
}

func (r *backupReader) bytes(n uint64) ([]byte, error) {
	if n > maxBackupPart {
		return nil, errBackup
	}
	b := make([]byte, n)
	if _, err := io.ReadFull(r.from, b); err != nil {
		return nil, fmt.Errorf("%w (%v)", errBackup, err)
	}
	r.sum.Write(b)
	return b, nil
}

// part reads a length, which is more by `more`, and so many bytes; nil for a length of 0 where it is more by one.
func (r *backupReader) part(more uint64) ([]byte, error) {
	n, err := binary.ReadUvarint(r)
	if err != nil {
		return nil, fmt.Errorf("%w (%v)", errBackup, err)
	}
	if n < more {
		return nil, nil
	}
	return r.bytes(n - more)
}

func (r *backupReader) json(into any) error {
	raw, err := r.part(0)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(raw, into); err != nil {
		return errBackup
	}
	return nil
}

// storeName is what tells one store from another: a file that follows another is of the same one.
func (s *store) storeName() (string, error) {
	name, err := s.text("meta/store")
	if err == nil && name == "" {
		name = xid.New().String()
		err = s.write(pair{[]byte("meta/store"), []byte(name)})
	}
	return name, err
}
