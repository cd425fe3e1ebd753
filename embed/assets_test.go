package assets

import "testing"

// RFC 9110, section 12.5.3: "q=0" means not acceptable; the coding names are case-insensitive.
func TestAccepts(t *testing.T) {
	for _, c := range []struct {
		header, coding string
		want           bool
	}{
		{"gzip, deflate, br", "br", true},
		{"gzip, deflate", "br", false},
		{"BR;q=0.5", "br", true},
		{"br;q=0", "br", false},
		{"br;q=0.000", "br", false},
		{"gzip;q=1.0, br; q=0.1", "br", true},
		{"", "gzip", false},
		{"brotli", "br", false},
	} {
		if got := accepts(c.header, c.coding); got != c.want {
			t.Errorf("Accept-Encoding %q allows %s: got %v, want %v", c.header, c.coding, got, c.want)
		}
	}
}

func TestHashedName(t *testing.T) {
	for name, want := range map[string]bool{
		"engine.0a1b2c3d4e.wasm": true, "app.K3JQ7MZP.js": true, "index.html": false,
		"sw.js": false, "manifest.webmanifest": false, "icon-192.png": false, "wasm_exec.js": false,
	} {
		if got := hashedName.MatchString(name); got != want {
			t.Errorf("%s: hashed %v, want %v", name, got, want)
		}
	}
}

// The ways out of dist, and the files that are in it but not for visitors.
func TestFindKeepsInside(t *testing.T) {
	for _, p := range []string{"/.gitignore", "/../assets.go", "/..%2fassets.go", "/index.html.br", "/nothing", "//", "/icons/"} {
		f, ok := Find(p, "br, gzip")
		if p == "//" { // the root in another spelling
			if ok != Built() {
				t.Errorf("%q: found %v, built %v", p, ok, Built())
			}
			continue
		}
		if ok {
			t.Errorf("%q: found %d bytes, want nothing", p, len(f.Body))
		}
	}
}

func TestEncodings(t *testing.T) {
	if !Built() {
		t.Skip("no client built in: go run ./embed/build")
	}
	plain, ok := Find("/", "")
	if !ok || plain.Encoding != "" || plain.Type != "text/html; charset=utf-8" {
		t.Fatalf("index.html: found %v, encoding %q, type %q", ok, plain.Encoding, plain.Type)
	}
	for header, want := range map[string]string{"gzip, deflate": "gzip", "gzip, deflate, br": "br"} {
		f, ok := Find("/", header)
		if !ok || f.Encoding != want && f.Encoding != "" {
			t.Errorf("Accept-Encoding %q: found %v, encoding %q", header, ok, f.Encoding)
		}
		if f.Encoding != "" && f.ETag == plain.ETag {
			t.Errorf("Accept-Encoding %q: same ETag as the plain file", header)
		}
	}
}
