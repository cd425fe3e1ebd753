package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// album keeps the pictures and papers, as files beside Badger: a value of a megabyte would be copied with
// every compaction, and a file is what a backup program understands. "Picture" stands for both below.
//
//	DATA/photos/SITE/NAME        a picture or a paper; NAME is the SHA-256 of its bytes, 64 hex digits
//	DATA/photos/SITE/NAME.part   the beginning of one that is on its way
//
// A file under its name is complete, was checked, was flushed before it got the name, and never
// changes. Its time is when the log last spoke of it: see tend.
type album struct {
	dir   string
	space func() error
	now   func() time.Time
	most  int64 // bytes a site may keep here

	mu   sync.Mutex
	used map[string]int64 // by site; counted once, then kept up
	busy map[string]bool  // SITE/NAME being written
	want map[string]time.Time
	lack map[string][]string // by site: pictures the log speaks of and this disk does not have, as last tended

	decoding sync.Mutex // one picture at a time is taken apart: at most 30 MB
}

var (
	errNoPhoto   = errors.New("this picture is not on the server yet: the phone that has it hands it in when it has signal")
	errPhotoSize = fmt.Errorf("a picture or a text has at most %d MB and a PDF %d: nothing was stored", opsync.MaxPicture>>20, opsync.MaxPaper>>20)
	errPhotoName = errors.New("the bytes that came are not those of this picture: nothing was stored, send it again from the start")
	errPhotoBusy = errors.New("this picture is just coming in from elsewhere: try again in a moment")
	errPhotos    = fmt.Errorf("this site has %d GB of pictures on the server, which is as much as it keeps for one site: nothing was stored, the picture stays on this phone", opsync.MaxSitePictures>>30)
	errParts     = errors.New("too many pictures of this site are half way here: finish those first")
)

// maxParts bounds the unfinished pictures of a site: one for each of its devices.
const maxParts = maxSeats

// errWhere: a piece does not begin where the server's copy ends.
type errWhere struct{ have int64 }

func (e errWhere) Error() string { return fmt.Sprintf("this picture goes on at byte %d", e.have) }

func newAlbum(data string, space func() error, now func() time.Time) *album {
	return &album{dir: filepath.Join(data, "photos"), space: space, now: now, most: opsync.MaxSitePictures,
		used: map[string]int64{}, busy: map[string]bool{}, want: map[string]time.Time{}, lack: map[string][]string{}}
}

func (a *album) path(site, name string) string { return filepath.Join(a.dir, site, name) }

// have says how much of a picture is here; whole, that it is complete.
func (a *album) have(site, name string) (n int64, whole bool) {
	if f, err := os.Stat(a.path(site, name)); err == nil {
		return f.Size(), true
	}
	if f, err := os.Stat(a.path(site, name) + ".part"); err == nil {
		return f.Size(), false
	}
	return 0, false
}

// open opens a picture that was read through and is what its name says. One that the disk has spoilt is taken
// away, so that a phone can hand it in anew.
func (a *album) open(site, name string) (*os.File, error) {
	f, err := os.Open(a.path(site, name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, errNoPhoto
	}
	if err != nil {
		return nil, fmt.Errorf("read picture %s of site %s: %w", name, site, err)
	}
	sum := sha256.New()
	n, err := io.Copy(sum, f)
	if err == nil && hex.EncodeToString(sum.Sum(nil)) == name {
		if _, err = f.Seek(0, io.SeekStart); err == nil {
			return f, nil
		}
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return nil, fmt.Errorf("read picture %s of site %s: %w", name, site, err)
	}
	slog.Error("picture spoilt, asking the phones for it", "site", site, "picture", name)
	if err := os.Remove(a.path(site, name)); err != nil {
		return nil, fmt.Errorf("take away spoilt picture %s of site %s: %w", name, site, err)
	}
	a.count(site, -n)
	return nil, errNoPhoto
}

func nameOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// take adds a piece that begins at from, of a picture of size bytes, and returns how much is here then.
// What came before a line broke is kept. With the last byte the picture is checked and gets its name.
func (a *album) take(site, name string, from, size int64, piece io.Reader) (have int64, err error) {
	if size < 1 || size > opsync.MaxPaper {
		return 0, errPhotoSize
	}
	if !a.begin(site, name) {
		return 0, errPhotoBusy
	}
	defer a.end(site, name)
	have, whole := a.have(site, name)
	if whole {
		return have, nil
	}
	if have != from {
		return have, errWhere{have}
	}
	if err := a.room(site, have == 0, size); err != nil {
		return have, err
	}
	have, err = a.write(site, name, have, size, piece)
	if err != nil {
		return have, err
	}
	if have < size {
		return a.begun(site, name, have, size)
	}
	if err := a.finish(site, name); err != nil {
		return 0, err
	}
	return have, nil
}

func (a *album) begin(site, name string) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.busy[site+"/"+name] {
		return false
	}
	a.busy[site+"/"+name] = true
	return true
}

func (a *album) end(site, name string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	delete(a.busy, site+"/"+name)
}

// room says whether a picture of that size may come; first, that nothing of it is here.
func (a *album) room(site string, first bool, size int64) error {
	if err := a.space(); err != nil {
		return err
	}
	used, parts, err := a.look(site)
	switch {
	case err != nil:
		return err
	case used+size > a.most:
		return errPhotos
	case first && parts >= maxParts:
		return errParts
	}
	return nil
}

// look counts the bytes a site keeps, and its unfinished pictures.
func (a *album) look(site string) (used int64, parts int, err error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	list, err := os.ReadDir(filepath.Join(a.dir, site))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return 0, 0, err
	}
	_, counted := a.used[site]
	for _, f := range list {
		if strings.HasSuffix(f.Name(), ".part") {
			parts++
		} else if info, err := f.Info(); err == nil && !counted {
			a.used[site] += info.Size()
		}
	}
	return a.used[site], parts, nil
}

func (a *album) count(site string, more int64) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if _, counted := a.used[site]; counted {
		a.used[site] += more
	}
}

// write appends a piece to what is here. A piece that is longer than the picture is dropped.
func (a *album) write(site, name string, have, size int64, piece io.Reader) (int64, error) {
	if err := a.makeFolder(site); err != nil {
		return have, err
	}
	f, err := os.OpenFile(a.path(site, name)+".part", os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o600)
	if err != nil {
		return have, fmt.Errorf("keep a piece of picture %s: %w", name, err)
	}
	n, err := io.Copy(f, io.LimitReader(piece, size-have+1))
	if have+n > size {
		err = errors.Join(f.Truncate(have), errPhotoName)
		n = 0
	}
	return have + n, errors.Join(err, f.Close())
}

// makeFolder makes a site's folder, so that it is there after a power cut as well.
func (a *album) makeFolder(site string) error {
	dir := filepath.Join(a.dir, site)
	if _, err := os.Stat(dir); err == nil {
		return nil
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("make the folder for pictures: %w", err)
	}
	return errors.Join(syncDir(filepath.Dir(a.dir)), syncDir(a.dir))
}

// begun looks at the first bytes of a picture on its way, so that no phone sends megabytes of what is refused in the
// end. have is how much is here.
func (a *album) begun(site, name string, have, size int64) (int64, error) {
	if have < headLen {
		return have, nil
	}
	part := a.path(site, name) + ".part"
	head := make([]byte, headLen)
	f, err := os.Open(part)
	if err == nil {
		_, err = io.ReadFull(f, head)
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		return have, fmt.Errorf("look at the beginning of picture %s: %w", name, err)
	}
	if err := checkHead(head, size); err != nil {
		return 0, errors.Join(err, os.Remove(part))
	}
	return have, nil
}

// finish checks a picture that is all here and gives it its name: flush, rename, flush the folder. What
// does not pass is thrown away; the phone still has it.
func (a *album) finish(site, name string) error {
	part := a.path(site, name) + ".part"
	size, err := a.check(part, name)
	if err != nil {
		return err
	}
	if err := flushFile(part); err != nil {
		return fmt.Errorf("flush picture %s: %w", name, err)
	}
	if err := os.Rename(part, a.path(site, name)); err != nil {
		return fmt.Errorf("name picture %s: %w", name, err)
	}
	if err := syncDir(filepath.Join(a.dir, site)); err != nil {
		return fmt.Errorf("flush the folder of picture %s: %w", name, err)
	}
	a.count(site, size)
	return nil
}

// check reads a picture that is all here, one at a time for the memory it takes.
func (a *album) check(part, name string) (size int64, err error) {
	a.decoding.Lock()
	defer a.decoding.Unlock()
	b, err := os.ReadFile(part)
	if err != nil {
		return 0, fmt.Errorf("look at picture %s: %w", name, err)
	}
	if nameOf(b) != name {
		err = errPhotoName
	} else {
		err = checkKept(b)
	}
	if err != nil {
		return 0, errors.Join(err, os.Remove(part))
	}
	return int64(len(b)), nil
}

func flushFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

func syncDir(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// askAgain says whether the phones should be asked for a picture now: once a minute each.
func (a *album) askAgain(site, name string) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	now := a.now()
	if len(a.want) > 10_000 { // strangers may not fill our memory; those on the site may ask again
		clear(a.want)
	}
	if at, asked := a.want[site+"/"+name]; asked && now.Sub(at) < time.Minute {
		return false
	}
	a.want[site+"/"+name] = now
	return true
}

// How long a picture that nobody speaks of is kept, and one that did not come to its end. Thirty days
// are long enough for a removed photo to be put back, and for a phone that was away to hand in the
// operation that names it.
const (
	keepUnnamed = 30 * 24 * time.Hour
	keepPart    = 7 * 24 * time.Hour
)

// tend goes through a site's pictures: those the log speaks of are read, and get today's time; those it has
// not spoken of for long go. What is missing or spoilt is remembered, to be asked for.
func (a *album) tend(site string, named map[string]bool) error {
	list, err := os.ReadDir(filepath.Join(a.dir, site))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	a.findLacks(site, named)
	now := a.now()
	for _, f := range list {
		info, err := f.Info()
		if err != nil {
			continue
		}
		path, age := filepath.Join(a.dir, site, f.Name()), now.Sub(info.ModTime())
		switch {
		case strings.HasSuffix(f.Name(), ".part"):
			if age > keepPart {
				err = os.Remove(path)
			}
		case !schedule.ValidFile(f.Name()): // none of ours
		case named[f.Name()]:
			if err = os.Chtimes(path, now, now); errors.Is(err, fs.ErrNotExist) {
				err = nil // just found to be spoilt
			}
		case age > keepUnnamed:
			slog.Info("picture dropped: not spoken of for long", "site", site, "picture", f.Name())
			err = os.Remove(path)
			a.count(site, -info.Size())
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// findLacks reads every picture the log speaks of.
func (a *album) findLacks(site string, named map[string]bool) {
	var lack []string
	for _, name := range slices.Sorted(maps.Keys(named)) {
		if !schedule.ValidFile(name) {
			continue // a photo without a small copy
		}
		f, err := a.open(site, name)
		if err != nil {
			lack = append(lack, name)
			continue
		}
		f.Close() // it was only read
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if delete(a.lack, site); len(lack) > 0 {
		a.lack[site] = lack
	}
}

// lacking is what is still missing of what tend found missing.
func (a *album) lacking(site string) (names []string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.lack[site] = slices.DeleteFunc(a.lack[site], func(name string) bool {
		_, err := os.Stat(a.path(site, name))
		return err == nil
	})
	return slices.Clone(a.lack[site][:min(len(a.lack[site]), opsync.MaxWanted)])
}

// sitesThatLack lists the sites that were found to lack pictures.
func (a *album) sitesThatLack() []string {
	a.mu.Lock()
	defer a.mu.Unlock()
	return slices.Sorted(maps.Keys(a.lack))
}

// photosIn lists the names of all files that a site's document speaks of.
func photosIn(doc []byte) (map[string]bool, error) {
	var site struct {
		Photos []schedule.Photo `json:"photos"`
		Papers []schedule.Paper `json:"papers"`
	}
	if err := json.Unmarshal(doc, &site); err != nil {
		return nil, err
	}
	all := map[string]bool{}
	for _, p := range site.Photos {
		all[p.File], all[p.Small] = true, true
	}
	for _, p := range site.Papers {
		all[p.File] = true
	}
	return all, nil
}
