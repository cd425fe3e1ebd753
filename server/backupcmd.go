package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// backupStore: batterboard backup --data DIR --to FOLDER|FILE. The server may be running.
func backupStore(args []string, out, errs io.Writer) error {
	fs := flags("backup")
	data := fs.String("data", "data", "`DIR`, the folder of the store")
	to := fs.String("to", "", "`WHERE`: a folder, to which what came since the last time is added, or a file that ends in .backup and is complete by itself")
	keep := fs.Int("keep", 0, "keep the last `N` backups in the folder, and what they need; 0: all")
	if err := parse(fs, args); err != nil {
		return err
	}
	switch {
	case fs.NArg() > 0:
		return badInput("backup takes no %q; say where to with --to", fs.Arg(0))
	case *to == "":
		return badInput("say where to with --to: a folder, or a file that ends in .backup")
	case *keep < 0:
		return badInput("--keep is how many backups to keep, not %d", *keep)
	case !hasStore(*data):
		return badInput("there is no store in %s", *data)
	}
	if strings.HasSuffix(*to, ".backup") {
		return backupFile(*data, *to, out)
	}
	take := func(w io.Writer, h backupHead) error { return atStore(*data, ask{Do: "backup", Head: h}, w) }
	var store bytes.Buffer
	if err := atStore(*data, ask{Do: "store"}, &store); err != nil {
		return err
	}
	made, err := backups{*to}.take(store.String(), filepath.Join(*data, "photos"), *keep, time.Now(), take)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(out, made)
	return err
}

func backupFile(data, to string, out io.Writer) error {
	var store bytes.Buffer
	if err := atStore(data, ask{Do: "store"}, &store); err != nil {
		return err
	}
	if _, err := os.Stat(to); err == nil {
		return badInput("%s is there already: it was left alone; name another file", to)
	}
	err := writeWhole(to, func(w io.Writer) error {
		return atStore(data, ask{Do: "backup", Whole: true, Head: backupHead{Store: store.String(), Made: time.Now().UTC(), By: version}}, w)
	})
	if err != nil {
		return err
	}
	sum, err := checkBackup(to)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "%s  %d records%s\n", to, sum.End.Records, leftWords(sum.End.Left))
	return err
}

// checkBackup reads a backup from its first to its last byte.
func checkBackup(path string) (backupSum, error) {
	sum, err := readBackupFile(path, func(backupHead, []byte, []byte) error { return nil })
	if err != nil {
		return sum, fmt.Errorf("%s: %w", path, err)
	}
	return sum, nil
}

func leftWords(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(", %d left out that the disk has spoilt", n)
}

// take adds a backup to the folder, reads it back, and lets old ones go.
func (b backups) take(store, photos string, keep int, now time.Time, write func(io.Writer, backupHead) error) (made string, err error) {
	chainLen := 30
	if keep > 0 {
		chainLen = keep
	}
	name, err := b.add(store, now, chainLen, write)
	if err != nil {
		return "", err
	}
	sum, err := checkBackup(filepath.Join(b.dir, name))
	if err != nil {
		return "", err
	}
	pictures, err := b.addPictures(photos)
	if err != nil {
		return "", err
	}
	if keep > 0 {
		if err := b.rotate(keep); err != nil {
			return "", fmt.Errorf("the backup was made, but an old one could not be taken away: %w", err)
		}
	}
	return fmt.Sprintf("%s  %d records, %d new pictures%s", name, sum.End.Records, pictures, leftWords(sum.End.Left)), nil
}

// backupPlan is what serve does by itself.
type backupPlan struct {
	to    string
	every time.Duration
	keep  int
}

// due says when the next backup is to be made.
func (p backupPlan) due() time.Time {
	names, err := backups{p.to}.files()
	if err != nil || len(names) == 0 {
		return time.Time{}
	}
	last, _, _ := strings.Cut(names[len(names)-1], "Z-")
	at, err := time.Parse(backupTime, last+"Z")
	if err != nil {
		return time.Time{}
	}
	return at.Add(p.every)
}

// backupNow makes a backup when one is due. One that fails is told in the log and by /health, and tried
// again with the next tick.
func (s *server) backupNow(p backupPlan) {
	now := s.now()
	if p.every == 0 || now.Before(p.due()) {
		return
	}
	store, err := s.store.storeName()
	if err == nil {
		var made string
		made, err = backups{p.to}.take(store, s.photos.dir, p.keep, now, func(w io.Writer, h backupHead) error {
			return s.store.backup(w, h, "")
		})
		if err == nil {
			slog.Info("backup made", "backup", made)
		}
	}
	if err != nil {
		slog.Error("no backup was made", "err", err)
	}
	s.backupFailed.Store(err != nil)
}

// keepBackingUp makes backups by plan until stop is called.
func (s *server) keepBackingUp(p backupPlan) (stop func()) {
	if p.every == 0 {
		return func() {}
	}
	end, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		tick := time.NewTicker(30 * time.Second)
		defer tick.Stop()
		for {
			s.backupNow(p)
			select {
			case <-tick.C:
			case <-end:
				return
			}
		}
	}()
	return func() { close(end); <-ended }
}

// restoreStore: batterboard restore --from FOLDER|FILE --data DIR, into a folder that is empty.
func restoreStore(args []string, out, errs io.Writer) error {
	fs := flags("restore")
	data := fs.String("data", "", "`DIR`, an empty folder, or one that is not there yet")
	from := fs.String("from", "", "`WHERE`: a folder of backups, of which the newest one is taken, or one file, also one in the middle of such a folder")
	if err := parse(fs, args); err != nil {
		return err
	}
	switch {
	case fs.NArg() > 0:
		return badInput("restore takes no %q", fs.Arg(0))
	case *from == "" || *data == "":
		return badInput("restore takes --from, a backup, and --data, the empty folder that it goes into")
	}
	files, pictures, err := restorable(*from)
	if err != nil {
		return err
	}
	if err := emptyFor(*data); err != nil {
		return err
	}
	r, err := restoreInto(*data, files, pictures, time.Now())
	if err != nil {
		for _, made := range []string{rebuilding, "photos"} { // the folder was empty
			err = errors.Join(err, os.RemoveAll(filepath.Join(*data, made)))
		}
		return fmt.Errorf("nothing was restored: %w", err)
	}
	fmt.Fprintf(out, "restored as of %s: %d sites, %d changes, %d pictures%s\n", r.made.Local().Format("2006-01-02 15:04"),
		len(r.ids()), r.changes(), r.pictures, leftWords(r.left))
	_, err = fmt.Fprintln(out, "Phones hand in again what they wrote since. Phones that were taken off since then are back:\nlook with batterboard access list. Invitations that were open are void.")
	return err
}

// restorable finds the files that together are the backup which `from` names, oldest first.
func restorable(from string) (files []string, pictures string, err error) {
	info, err := os.Stat(from)
	if err != nil {
		return nil, "", badInput("there is no backup at %s: %w", from, err)
	}
	b, name := backups{from}, ""
	if !info.IsDir() {
		b, name = backups{filepath.Dir(from)}, filepath.Base(from)
		if !strings.HasSuffix(name, morePart) && !strings.HasSuffix(name, fullPart) {
			return []string{from}, "", nil
		}
	}
	names, err := b.files()
	if err != nil {
		return nil, "", err
	}
	if name == "" {
		if len(names) == 0 {
			return nil, "", badInput("there is no backup in %s", from)
		}
		name = names[len(names)-1]
	}
	links, whole := chain(names, name)
	if !whole {
		return nil, "", badInput("%s goes on from a backup that is not in %s any more; take one that ends in %s", name, b.dir, fullPart)
	}
	for _, n := range links {
		files = append(files, filepath.Join(b.dir, n))
	}
	return files, filepath.Join(b.dir, "pictures"), nil
}

// emptyFor checks that a folder may be restored into: nothing in it, or what a restore left that was killed.
func emptyFor(dir string) error {
	all, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return badInput("%w", err)
	}
	half := isDir(filepath.Join(dir, rebuilding))
	for _, f := range all {
		if f.Name() != rebuilding && !(half && f.Name() == "photos") && f.Name() != "lost+found" && f.Name() != "IN-USE" {
			return badInput("%s is not empty (%s is in it): it was left alone; restore into an empty folder", dir, f.Name())
		}
	}
	return nil
}

// restored is what a restore brought.
type restored struct {
	returned
	made     time.Time
	pictures int
	left     int
}

func (r *restored) changes() (n int) {
	for _, id := range r.ids() {
		n += r.sites[id].ops
	}
	return n
}

// restoreInto builds the store beside its place and moves it there when it is whole: see salvage.go.
func restoreInto(dir string, files []string, pictures string, now time.Time) (r *restored, err error) {
	free, err := prepare(dir)
	if err != nil {
		return nil, err
	}
	defer free()
	work := filepath.Join(dir, rebuilding)
	st, err := freshStore(work)
	if err != nil {
		return nil, err
	}
	r, err = st.fill(dir, files, now)
	if err = errors.Join(err, st.close()); err != nil {
		return nil, err
	}
	if pictures != "" {
		n, err := backups{dir}.bringPictures(pictures)
		if err != nil {
			return nil, err
		}
		r.pictures += n
	}
	if err := os.Rename(work, filepath.Join(dir, moving)); err != nil {
		return nil, err
	}
	return r, finishMove(dir, now)
}

// prepare makes the folder and keeps others out of it.
func prepare(dir string) (free func() error, err error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	if err := checkSpace(dir); err != nil {
		return nil, err
	}
	free, _, err = lockStore(dir)
	return free, err
}

// fill reads the files of a backup into a new store. Of all but operations and pictures the last file counts.
func (s *store) fill(dir string, files []string, now time.Time) (*restored, error) {
	r := &restored{}
	var wait []pair
	size := 0
	put := func(p pair) error {
		if wait, size = append(wait, p), size+len(p.value)+len(p.key); size < maxCommit/2 {
			return nil
		}
		err := s.write(wait...)
		wait, size = nil, 0
		return err
	}
	var before backupSum
	for i, path := range files {
		last := i == len(files)-1
		var follows error
		sum, err := readBackupFile(path, func(h backupHead, key, value []byte) error {
			if follows = fits(h, before, i); follows != nil {
				return follows
			}
			p := pair{key, value}
			switch {
			case bytes.HasPrefix(key, []byte(pictureKey)):
				r.pictures++
				return bringPicture(dir, string(key[len(pictureKey):]), value)
			case string(key) == "meta/format" && string(value) != storeFormat:
				return fmt.Errorf("it is of a store of format %s, and this program knows %s: use a newer program", value, storeFormat)
			case !bytes.HasPrefix(key, []byte("op/")) && (!last || !inBackup(key)):
				return nil
			}
			if p.value == nil {
				p.value = []byte{}
			}
			if !r.take(p) {
				return nil
			}
			return put(p)
		})
		if err == nil {
			err = fits(sum.Head, before, i)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w%s", path, err, insteadWords(files[:i]))
		}
		before, r.made, r.left = sum, sum.Head.Made, r.left+sum.End.Left
	}
	for _, p := range r.rest(now) {
		if err := put(p); err != nil {
			return nil, err
		}
	}
	if len(wait) == 0 {
		return r, nil
	}
	return r, s.write(wait...)
}

// insteadWords names the backup that can be taken when a later one is damaged.
func insteadWords(good []string) string {
	if len(good) == 0 {
		return ""
	}
	return "; up to the file before it all is well: restore with --from " + good[len(good)-1]
}

// fits says whether a file with this head may follow the one before it.
func fits(h backupHead, before backupSum, i int) error {
	if i == 0 && h.After != "" {
		return errors.New("it goes on from another backup: restore from the folder that has both")
	}
	if i > 0 && (h.After != before.Sum || h.Store != before.Head.Store) {
		return errors.New("it does not go on from the file before it")
	}
	return nil
}

func readBackupFile(path string, yield func(h backupHead, key, value []byte) error) (backupSum, error) {
	f, err := os.Open(path)
	if err != nil {
		return backupSum{}, err
	}
	defer f.Close()
	return readBackup(f, yield)
}

// bringPicture writes a picture that a backup holds. rest is SITE/NAME.
func bringPicture(dir, rest string, b []byte) error {
	site, name, _ := strings.Cut(rest, "/")
	if !validID(site) || !pictureName(name) || nameOf(b) != name {
		return fmt.Errorf("a picture in it is not what its name says: %w", errBackup)
	}
	to := filepath.Join(dir, "photos", site)
	if err := os.MkdirAll(to, 0o700); err != nil {
		return err
	}
	return writeWhole(filepath.Join(to, name), func(w io.Writer) error { _, err := w.Write(b); return err })
}

// bringPictures copies the pictures of a backup folder into a data folder. One that is damaged is left
// out: phones that have it hand it in again.
func (b backups) bringPictures(from string) (n int, err error) {
	err = eachPicture(from, func(site, name string) error {
		to := filepath.Join(b.dir, "photos", site, name)
		if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
			return err
		}
		if err := copyPicture(filepath.Join(from, site, name), to); err != nil {
			slog.Warn("a picture was left out", "err", err)
			return nil
		}
		n++
		return nil
	})
	return n, err
}
