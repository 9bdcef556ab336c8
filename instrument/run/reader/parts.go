package reader

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	"golang.org/x/text/encoding/ianaindex"
	"golang.org/x/text/transform"
)

// Bounds on what a workbook unpacks to, in bytes, since a small archive can
// hold a very large one: in all, with its pictures; a sheet; and any other part
// in XML, of which the library makes many times as much in memory.
const (
	largestWorkbook = 128 << 20
	largestSheet    = 32 << 20
	largestPart     = 4 << 20
)

// The parts of a workbook (ECMA-376, part 1) that hold what is in cells.
const (
	sheetParts  = "xl/worksheets/"
	stringsPart = "xl/sharedStrings.xml"
)

// checkParts returns an error for a workbook with a part beyond the bounds, and
// for one that is cut or damaged in a part that holds cells or leads to them:
// the library reads such a part up to the break without a word.
func checkParts(content []byte, name string) error {
	archive, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		return &Error{File: name, Text: "is cut or damaged, so that no workbook can be unpacked from it; open it and save it again as .xlsx, or as CSV"}
	}
	for _, part := range archive.File {
		most, what := uint64(largestPart), "part"
		switch {
		case strings.HasPrefix(part.Name, sheetParts):
			most, what = largestSheet, "sheet"
		case strings.HasPrefix(part.Name, "xl/media/"):
			most = largestWorkbook
		}
		if part.UncompressedSize64 > most {
			return &Error{File: name, Text: fmt.Sprintf("has a %s %s of more than %d MiB; copy the readings alone into a workbook of their own",
				what, shown(part.Name), most>>20)}
		}
	}
	texts, referred := 0, -1
	for _, part := range archive.File {
		if !strings.HasPrefix(part.Name, "xl/") || !strings.HasSuffix(part.Name, ".xml") {
			continue
		}
		var c partCheck
		switch {
		case strings.HasPrefix(part.Name, sheetParts):
			c.sheet = true
		case part.Name != stringsPart && strings.Count(part.Name, "/") > 1:
			continue // drawings, charts and the like hold no cells
		}
		if line, fault := c.read(part); fault != "" {
			return &Error{File: name, Text: fmt.Sprintf("is damaged in line %d of its part %s: %s; open it and save it again as .xlsx, or as CSV", line, shown(part.Name), fault)}
		}
		if part.Name == stringsPart {
			texts = c.texts
		}
		referred = max(referred, c.referred)
	}
	if referred >= texts {
		return &Error{File: name, Text: fmt.Sprintf("is damaged: a cell refers to text number %d of %d; open it and save it again as .xlsx, or as CSV", referred+1, texts)}
	}
	return nil
}

// A partCheck goes once through a part in XML.
type partCheck struct {
	sheet     bool
	row, cell int // as numbered last
	// texts counts the shared texts, and referred is the highest that a cell
	// refers to, counted from 0, with -1 for none.
	texts, referred int
}

// read reads the part to its end, and returns what is wrong in which line.
func (c *partCheck) read(part *zip.File) (line int, fault string) {
	c.referred = -1
	in, err := part.Open()
	if err != nil {
		return 0, "it cannot be unpacked"
	}
	defer in.Close()
	d := xml.NewDecoder(in)
	d.CharsetReader = func(label string, in io.Reader) (io.Reader, error) {
		e, err := ianaindex.MIME.Encoding(label)
		if err != nil || e == nil {
			return nil, fmt.Errorf("an encoding %.40q is not known", label)
		}
		return transform.NewReader(in, e.NewDecoder()), nil
	}
	root, shared, value := false, false, false
	for {
		token, err := d.Token()
		line, _ = d.InputPos()
		if err == io.EOF && root {
			return 0, ""
		}
		if err != nil {
			return line, "it is cut or not well formed"
		}
		switch t := token.(type) {
		case xml.StartElement:
			root = true
			switch {
			case t.Name.Local == "si":
				c.texts++
			case c.sheet && t.Name.Local == "row":
				c.cell = 0
				if !rises(&c.row, attribute(t, "r")) {
					return line, "a row stands out of its order"
				}
			case c.sheet && t.Name.Local == "c":
				shared = attribute(t, "t") == "s"
				if !rises(&c.cell, columnOf(attribute(t, "r"))) {
					return line, "a cell stands out of its order"
				}
			}
			value = t.Name.Local == "v"
		case xml.CharData:
			if n, err := strconv.Atoi(strings.TrimSpace(string(t))); err == nil && shared && value {
				c.referred = max(c.referred, n)
			}
		case xml.EndElement:
			value = false
		}
	}
}

// attribute returns the value of an attribute, empty where there is none.
func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// rises sets at to a number and says whether that is above the one before; a
// missing number is the next.
func rises(at *int, number string) bool {
	if number == "" {
		*at++
		return true
	}
	n, err := strconv.Atoi(number)
	if err != nil || n <= *at {
		return false
	}
	*at = n
	return true
}

// columnOf returns the number of a cell's column from its name, as 3 for C7,
// and empty for no name.
func columnOf(cell string) string {
	if cell == "" {
		return ""
	}
	return strconv.Itoa(lettersToColumn(strings.TrimRight(cell, "0123456789")))
}
