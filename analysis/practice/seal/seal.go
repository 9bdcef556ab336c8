// Package seal keeps a file under a passphrase: nobody reads it without, and a
// changed byte is noticed.
//
// A sealed file begins with a line that names the format and a line of JSON,
// the header. The passphrase becomes a key of 256 bits by Argon2id (RFC 9106),
// whose costs and salt stand in the header. What follows are pieces of equal
// length, the last one shorter or empty, each encrypted with AES-256-GCM (NIST
// SP 800-38D). The nonce of a piece is its number with a mark on the last one,
// so that pieces can be neither exchanged nor cut off (V. T. Hoang, R.
// Reyhanitabar, P. Rogaway and D. Vizar, CRYPTO 2015, section 7), and both lines
// at the beginning are authenticated with each piece. A salt is never used
// twice, and so no pair of key and nonce is.
package seal

import (
	"bufio"
	"bytes"
	"crypto/aes"
	"crypto/cipher"
	"crypto/rand"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"golang.org/x/crypto/argon2"
)

// A format is the first line of a file of this version.
const format = "stopvolt sealed file 1\n"

// ErrClosed says that a file cannot be opened. A wrong passphrase and a changed
// file look alike, since nothing but the passphrase could tell them apart.
var ErrClosed = errors.New("the passphrase is wrong, or the file was changed or cut off")

const (
	pieceLength  = 64 << 10
	tagLength    = 16
	saltLength   = 16
	longestLine  = 1 << 10
	cipherName   = "AES-256-GCM"
	deriveName   = "Argon2id"
	mostMemory   = 1 << 20 // KiB
	mostPasses   = 64
	mostLanes    = 64
	nonceLength  = 12
	numberedFrom = 3 // of the nonce, where the number of a piece begins
)

// Costs are those of Argon2id, which make guessing a passphrase slow.
type Costs struct {
	// Passes over MemoryKiB in KiB, in Lanes.
	Passes    uint32 `json:"passes"`
	MemoryKiB uint32 `json:"memory_KiB"`
	Lanes     uint8  `json:"lanes"`
}

// Recommended returns the second recommended option of RFC 9106, section 4:
// three passes over 64 MiB in four lanes.
func Recommended() Costs { return Costs{Passes: 3, MemoryKiB: 64 << 10, Lanes: 4} }

// header is the second line of the file.
type header struct {
	Derivation string `json:"derivation"`
	Costs
	Salt   []byte `json:"salt"`
	Cipher string `json:"cipher"`
	Piece  int    `json:"piece_bytes"`
}

// check says what is impossible in a header. The bounds keep a made-up file
// from taking all memory.
func (h header) check() error {
	switch {
	case h.Derivation != deriveName || h.Cipher != cipherName || h.Piece != pieceLength || len(h.Salt) != saltLength:
		return errors.New("its header names a way of sealing that is not known here; a newer stopvolt may open it")
	case h.Passes < 1 || h.Passes > mostPasses || h.Lanes < 1 || h.Lanes > mostLanes || h.MemoryKiB < 8*uint32(h.Lanes) || h.MemoryKiB > mostMemory:
		return errors.New("its header asks for a derivation beyond reason; the file was changed")
	}
	return nil
}

// aead returns the cipher of a passphrase.
func (h header) aead(passphrase []byte) (cipher.AEAD, error) {
	key := argon2.IDKey(passphrase, h.Salt, h.Passes, h.MemoryKiB, h.Lanes, 32)
	block, err := aes.NewCipher(key)
	if err != nil {
		return nil, err
	}
	return cipher.NewGCM(block)
}

// nonce returns that of a piece.
func nonce(number uint64, last bool) []byte {
	n := make([]byte, nonceLength)
	binary.BigEndian.PutUint64(n[numberedFrom:], number)
	if last {
		n[nonceLength-1] = 1
	}
	return n
}

// A Writer seals what is written to it. It must be closed to be complete.
type Writer struct {
	w      io.Writer
	aead   cipher.AEAD
	header []byte
	piece  []byte
	sealed []byte
	number uint64
}

// NewWriter begins a sealed file.
func NewWriter(w io.Writer, passphrase []byte, costs Costs) (*Writer, error) {
	h := header{Derivation: deriveName, Costs: costs, Salt: make([]byte, saltLength), Cipher: cipherName, Piece: pieceLength}
	if err := h.check(); err != nil {
		return nil, err
	}
	if _, err := rand.Read(h.Salt); err != nil {
		return nil, err
	}
	aead, err := h.aead(passphrase)
	if err != nil {
		return nil, err
	}
	line, err := json.Marshal(h)
	if err != nil {
		return nil, err
	}
	s := &Writer{w: w, aead: aead, header: append(append([]byte(format), line...), '\n'), piece: make([]byte, 0, pieceLength)}
	_, err = w.Write(s.header)
	return s, err
}

// Write seals p.
func (s *Writer) Write(p []byte) (int, error) {
	written := 0
	for len(p) > 0 {
		if len(s.piece) == pieceLength {
			if err := s.flush(false); err != nil {
				return written, err
			}
		}
		n := min(pieceLength-len(s.piece), len(p))
		s.piece = append(s.piece, p[:n]...)
		p = p[n:]
		written += n
	}
	return written, nil
}

// flush writes the piece.
func (s *Writer) flush(last bool) error {
	s.sealed = s.aead.Seal(s.sealed[:0], nonce(s.number, last), s.piece, s.header)
	s.piece = s.piece[:0]
	s.number++
	_, err := s.w.Write(s.sealed)
	return err
}

// Close writes the last piece. It does not close the writer beneath.
func (s *Writer) Close() error { return s.flush(true) }

// A Reader opens a sealed file. Each byte that it hands out has been
// authenticated, and only after the last one it returns io.EOF.
type Reader struct {
	r      *bufio.Reader
	aead   cipher.AEAD
	header []byte
	sealed []byte
	opened []byte
	rest   []byte
	number uint64
	ended  bool
}

// NewReader begins to open a sealed file. That the passphrase is wrong shows in
// the first Read.
func NewReader(r io.Reader, passphrase []byte) (*Reader, error) {
	s := &Reader{r: bufio.NewReaderSize(r, pieceLength+tagLength+1)}
	first := make([]byte, len(format))
	if _, err := io.ReadFull(s.r, first); err != nil || string(first) != format {
		return nil, errors.New("is not a key of this version of stopvolt; a file that practice make wrote is needed")
	}
	line, err := s.line()
	if err != nil {
		return nil, err
	}
	var h header
	if err := json.Unmarshal(line, &h); err != nil {
		return nil, errors.New("its header is damaged; the file was changed")
	}
	if err := h.check(); err != nil {
		return nil, err
	}
	s.header = append(first, line...)
	s.aead, err = h.aead(passphrase)
	return s, err
}

// line reads the header's line.
func (s *Reader) line() ([]byte, error) {
	head, err := s.r.Peek(longestLine)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	end := bytes.IndexByte(head, '\n')
	if end < 0 {
		return nil, errors.New("its header is damaged; the file was changed")
	}
	line := bytes.Clone(head[:end+1])
	_, err = s.r.Discard(end + 1)
	return line, err
}

// Read returns what was sealed.
func (s *Reader) Read(p []byte) (int, error) {
	for len(s.rest) == 0 {
		if s.ended {
			return 0, io.EOF
		}
		if err := s.open(); err != nil {
			return 0, err
		}
	}
	n := copy(p, s.rest)
	s.rest = s.rest[n:]
	return n, nil
}

// open opens the next piece. The last one is the one that nothing follows.
func (s *Reader) open() error {
	if s.sealed == nil {
		s.sealed = make([]byte, pieceLength+tagLength)
	}
	n, err := io.ReadFull(s.r, s.sealed)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return err
	}
	if _, err := s.r.Peek(1); errors.Is(err, io.EOF) {
		s.ended = true
	}
	s.opened, err = s.aead.Open(s.opened[:0], nonce(s.number, s.ended), s.sealed[:n], s.header)
	if err != nil {
		s.ended = true
		return fmt.Errorf("cannot be opened: %w", ErrClosed)
	}
	s.number++
	s.rest = s.opened
	return nil
}
