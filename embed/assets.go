// Package assets is the built client inside the binary: pages, scripts, the engine as WebAssembly,
// icons. The build tool (embed/build) fills dist; a fresh clone has only dist/.gitignore in it, so
// that everything still compiles before the first build.
//
// Use [Find] to answer a request. The package opens no files and starts nothing; which security
// headers go with a page is the server's business.
package assets

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"mime"
	"path"
	"regexp"
	"strings"
	"sync"
)

//go:embed all:dist
var dist embed.FS

// File is one asset in one encoding, ready to send.
type File struct {
	Body     []byte
	Type     string // Content-Type
	Encoding string // Content-Encoding: "br", "gzip" or empty
	ETag     string // strong, quoted; differs between encodings (RFC 9110, section 8.8.3)
	Hashed   bool   // the name holds a hash of the content: it may be cached for ever
}

// Built tells whether a client was built into this binary.
func Built() bool {
	_, err := fs.Stat(dist, "dist/index.html")
	return err == nil
}

// Find returns the asset for a URL path in the best encoding that acceptEncoding allows. The root is
// index.html. Dot files and the compressed copies themselves are not to be had by name.
//
// Browsers say "br" only on HTTPS and on localhost; a phone on the plain-HTTP LAN gets gzip.
func Find(urlPath, acceptEncoding string) (File, bool) {
	name := strings.TrimPrefix(path.Clean("/"+urlPath), "/")
	if name == "" {
		name = "index.html"
	}
	if strings.HasPrefix(path.Base(name), ".") || strings.HasSuffix(name, ".br") || strings.HasSuffix(name, ".gz") {
		return File{}, false
	}
	for _, e := range encodings {
		if e.token != "" && !accepts(acceptEncoding, e.token) {
			continue
		}
		if body, err := dist.ReadFile("dist/" + name + e.suffix); err == nil {
			return File{
				Body: body, Type: typeOf(name), Encoding: e.token,
				ETag: etag(name+e.suffix, body), Hashed: hashedName.MatchString(path.Base(name)),
			}, true
		}
	}
	return File{}, false
}

// encodings in order of preference; the build writes name.br and name.gz beside what shrinks.
var encodings = []struct{ token, suffix string }{{"br", ".br"}, {"gzip", ".gz"}, {"", ""}}

// accepts reads Accept-Encoding (RFC 9110, section 12.5.3) as far as we need it: the coding is named
// and its weight is not zero.
func accepts(header, coding string) bool {
	for part := range strings.SplitSeq(header, ",") {
		token, params, _ := strings.Cut(part, ";")
		if strings.EqualFold(strings.TrimSpace(token), coding) {
			q, weighted := strings.CutPrefix(strings.TrimSpace(params), "q=")
			return !weighted || strings.Trim(q, "0.") != ""
		}
	}
	return false
}

// hashedName is name.HASH.ext, as the bundler writes it: eight or more letters and digits.
var hashedName = regexp.MustCompile(`^[A-Za-z0-9_-]+\.[A-Za-z0-9]{8,}\.[a-z0-9]+$`)

// Types we send, spelled out: the machine's mime table must not decide how a phone reads a file.
var types = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8",
	".js": "text/javascript; charset=utf-8", ".json": "application/json",
	".webmanifest": "application/manifest+json", ".wasm": "application/wasm", ".pack": "application/octet-stream",
	".svg": "image/svg+xml", ".png": "image/png", ".woff2": "font/woff2",
	".txt": "text/plain; charset=utf-8",
}

func typeOf(name string) string {
	ext := path.Ext(name)
	if t := types[ext]; t != "" {
		return t
	}
	if t := mime.TypeByExtension(ext); t != "" {
		return t
	}
	return "application/octet-stream"
}

var tags sync.Map // file name -> ETag: the files cannot change while the program runs

func etag(name string, body []byte) string {
	if t, ok := tags.Load(name); ok {
		return t.(string)
	}
	sum := sha256.Sum256(body)
	t := `"` + hex.EncodeToString(sum[:12]) + `"`
	tags.Store(name, t)
	return t
}
