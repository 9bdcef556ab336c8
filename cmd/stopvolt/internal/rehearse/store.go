package rehearse

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"stopvolt/analysis/rehearsal"
)

// keptSchema is the version of a kept session.
const keptSchema = 1

// A kept session is what a file in the state folder holds: everything that a
// rehearsal is, besides the scenario.
type kept struct {
	Schema int `json:"schema"`
	// Identity is that of what is served; a session of another scenario is not
	// taken up.
	Identity string             `json:"identity"`
	Seed     uint64             `json:"seed"`
	Student  string             `json:"student,omitempty"`
	Language string             `json:"language"`
	Comma    bool               `json:"comma"`
	Log      []rehearsal.Action `json:"log"`
	// Clock is the time in s at the bench.
	Clock float64 `json:"clock_s"`
}

// A store keeps sessions as files, each whole or not at all. The zero store
// keeps nothing.
type store struct {
	folder string
	write  func(name string, write func(io.Writer) error) error
}

// keptFor is how long files are kept.
const keptFor = 60 * 24 * time.Hour

// largestKept bounds what is read, in bytes.
const largestKept = 16 << 20

// newID returns a secret by which a browser is known.
func newID() string {
	var b [24]byte
	// The operating system's source does not fail.
	_, _ = rand.Read(b[:])
	return base64.RawURLEncoding.EncodeToString(b[:])
}

// name returns the file of a session. A folder that somebody reads does not
// tell the secrets.
func (s store) name(id string) string {
	sum := sha256.Sum256([]byte("rehearsal " + id))
	return filepath.Join(s.folder, hex.EncodeToString(sum[:16])+".json")
}

// save keeps a session.
func (s store) save(id string, k kept) error {
	if s.folder == "" {
		return nil
	}
	return s.write(s.name(id), func(w io.Writer) error { return json.NewEncoder(w).Encode(k) })
}

// load returns a kept session; ok is false where there is none for this
// identity.
func (s store) load(id, identity string) (k kept, ok bool, err error) {
	if s.folder == "" || !plausible(id) {
		return kept{}, false, nil
	}
	f, err := os.Open(s.name(id))
	if errors.Is(err, fs.ErrNotExist) {
		return kept{}, false, nil
	}
	if err != nil {
		return kept{}, false, err
	}
	defer f.Close()
	if err := json.NewDecoder(io.LimitReader(f, largestKept)).Decode(&k); err != nil {
		return kept{}, false, fmt.Errorf("%s: %w", filepath.Base(f.Name()), err)
	}
	return k, k.Schema == keptSchema && k.Identity == identity, nil
}

// plausible reports whether a text can be an ID of ours.
func plausible(id string) bool {
	_, err := base64.RawURLEncoding.DecodeString(id)
	return err == nil && len(id) == 32
}

// sweep removes the files that nobody has touched for long.
func (s store) sweep(now time.Time) {
	if s.folder == "" {
		return
	}
	entries, err := os.ReadDir(s.folder)
	if err != nil {
		return
	}
	for _, e := range entries {
		info, err := e.Info()
		if err == nil && strings.HasSuffix(e.Name(), ".json") && len(e.Name()) == 37 && now.Sub(info.ModTime()) > keptFor {
			// What cannot be removed is no harm.
			_ = os.Remove(filepath.Join(s.folder, e.Name()))
		}
	}
}
