package main

import (
	"cmp"
	"net/http"
	"strings"
)

// need is what a request must show before its route runs.
type need int

const (
	nothing need = iota // anybody
	device              // the token of a device that is known here
	onSite              // and a seat on the site that ?site= or the body names
	byCode              // a good code in the path: a crew's page
)

// route is one address of the server. A test goes through this list with every kind of wrong
// credential, and fails for a route it does not know.
type route struct {
	method, path string
	need         need
	run          func(*server, http.ResponseWriter, *http.Request) error
}

func routes() []route {
	return []route{
		{"GET", "/health", nothing, (*server).health},
		{"POST", "/api/pair", nothing, (*server).pair},
		{"POST", "/api/demo", nothing, (*server).tryDemo},
		{"GET", "/api/me", nothing, (*server).me},
		{"POST", "/api/invite", onSite, (*server).invite},
		{"GET", "/api/devices", onSite, (*server).devices},
		{"POST", "/api/revoke", onSite, (*server).revoke},
		{"POST", "/api/name", onSite, (*server).name},
		{"POST", "/api/crewlink", onSite, (*server).crewLink},
		{"POST", "/api/crewlink/revoke", onSite, (*server).crewUnlink},
		{"POST", "/api/feedlink", onSite, (*server).feedLink},
		{"POST", "/api/feedlink/revoke", onSite, (*server).feedUnlink},
		{"GET", "/api/push", onSite, (*server).pushAsk},
		{"POST", "/api/push", onSite, (*server).pushOn},
		{"POST", "/api/push/off", onSite, (*server).pushOff},
		{"GET", "/c/{code}", byCode, (*server).crewShow},
		{"POST", "/c/{code}", byCode, (*server).crewSay},
		{"GET", "/c/{code}/days.ics", byCode, (*server).crewDays},
		{"GET", "/c/{code}/photo/{name}", byCode, (*server).crewPhoto},
		{"POST", "/c/{code}/photo", byCode, (*server).crewSend},
		{"GET", crewLookPath, nothing, (*server).crewStyle},
		{"GET", "/api/photo/{name}", onSite, (*server).photo},
		{"PUT", "/api/photo/{name}", onSite, (*server).photoPiece},
		{"POST", "/api/photos/lacks", onSite, (*server).photoLacks},
		{"GET", "/ws", onSite, (*server).socket},
		{"GET", "/", nothing, (*server).asset},
	}
}

func (s *server) handler() http.Handler {
	mux := http.NewServeMux()
	paths := map[string][]route{}
	for _, r := range routes() {
		paths[r.path] = append(paths[r.path], r)
	}
	for path, at := range paths {
		mux.Handle(path, s.either(at))
	}
	return mux
}

// either picks the route that a request's method asks for, out of those at one path; the first says
// no to any other.
func (s *server) either(at []route) http.Handler {
	var wrapped []http.Handler
	for _, r := range at {
		wrapped = append(wrapped, s.wrap(r))
	}
	return http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		for i, r := range at {
			if q.Method == r.method {
				wrapped[i].ServeHTTP(w, q)
				return
			}
		}
		wrapped[0].ServeHTTP(w, q)
	})
}

// wrap puts around every route what every route has: headers, the size limit, and for requests that
// change something that they come from our own pages.
func (s *server) wrap(r route) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		s.headers(w, q)
		q.Body = http.MaxBytesReader(w, q.Body, cmp.Or(largeBodies[r.method+" "+r.path], maxBody))
		err := allowed(r, w, q)
		if err == nil {
			err = s.ours(r, q)
		}
		if err == nil {
			err = r.run(s, w, q)
		}
		if err != nil {
			s.fail(w, q, err)
		}
	})
}

func allowed(r route, w http.ResponseWriter, q *http.Request) error {
	if q.Method == r.method || q.Method == http.MethodHead && r.method == http.MethodGet {
		return nil
	}
	w.Header().Set("Allow", r.method)
	return &refusal{http.StatusMethodNotAllowed, "This address is asked with " + r.method + "."}
}

// ours refuses what a page of somebody else could make a browser send. The cookie's SameSite=Lax is
// the other half.
func (s *server) ours(r route, q *http.Request) error {
	if r.method == "GET" && r.path != "/ws" || r.need == byCode {
		return nil // a crew's page has no cookie, and forms of its own: see fromOurPage
	}
	if !s.sameOrigin(q) {
		return errForeign
	}
	kind, _, _ := strings.Cut(q.Header.Get("Content-Type"), ";")
	switch kind = strings.TrimSpace(kind); {
	case r.method == "POST" && kind != "application/json":
		return &refusal{http.StatusUnsupportedMediaType, "This address takes JSON only."}
	case r.method == "PUT" && kind != "application/octet-stream":
		return &refusal{http.StatusUnsupportedMediaType, "This address takes plain bytes only."}
	}
	return nil
}
