package rehearse

import (
	"crypto/sha256"
	"crypto/subtle"
	"net"
	"net/http"
	"slices"
	"strings"
)

// policy is the content that pages may have: our own files, no script and no
// style within pages, nothing from elsewhere, and no frame around them.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// largestBody is that of a request in bytes.
const largestBody = 8 << 10

// guarded puts the guards before a handler: the host, the headers, the size of
// bodies, and requests from other sites.
func (s *Server) guarded(next http.Handler) http.Handler {
	own := http.NewCrossOriginProtection().Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if !s.knownHost(r.Host) {
			http.Error(w, "this address is not served here", http.StatusMisdirectedRequest)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, largestBody)
		own.ServeHTTP(w, r)
	})
}

// knownHost reports whether a request was meant for this server, so that a name
// which somebody points at this machine serves nothing.
func (s *Server) knownHost(host string) bool {
	name, _, err := net.SplitHostPort(host)
	if err != nil {
		name = host
	}
	return slices.Contains(s.options.Hosts, strings.ToLower(strings.Trim(name, "[]")))
}

// The cookies.
const (
	visitorCookie    = "rehearsal"
	classCookie      = "rehearsal-class"
	instructorCookie = "rehearsal-instructor"
)

// same compares secrets in constant time.
func same(a, b string) bool {
	x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
	return subtle.ConstantTimeCompare(x[:], y[:]) == 1
}

// admitted reports whether a request knows a token: as a cookie, or in the
// address, which sets the cookie. An empty token admits everybody.
func admitted(w http.ResponseWriter, r *http.Request, token, cookie string) bool {
	if token == "" {
		return true
	}
	if c, err := r.Cookie(cookie); err == nil && same(c.Value, token) {
		return true
	}
	if given := r.URL.Query().Get("token"); given != "" && same(given, token) {
		http.SetCookie(w, ownCookie(cookie, token))
		return true
	}
	return false
}

// ownCookie returns a cookie for this site and no script.
func ownCookie(name, value string) *http.Cookie {
	return &http.Cookie{
		Name: name, Value: value, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode,
		MaxAge: int(keptFor.Seconds()),
	}
}
