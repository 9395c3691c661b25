package warning

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Limits on what is read. A message of 1.7 MB has been met in the wild, an index of some
// megabytes is ordinary; the rest is our judgement of what no honest sender needs. Whatever is
// beyond is refused and not cut off: the part left out may be the warning.
const (
	MaxMessage  = 4 << 20 // bytes of one message
	MaxIndex    = 5 << 20 // bytes of one index
	maxDepth    = 24      // CAP needs 5, an index with content 8
	maxElements = 200_000
)

// Why says in two words what is wrong with a document; the words are those of the feeds.
type Why string

// Why a document was refused.
const (
	Unreadable Why = "unreadable"       // not well-formed XML, or XML that we do not open
	WrongShape Why = "unexpected shape" // well-formed, and not what was asked for
	TooLarge   Why = "too large"
)

// Refused says that a document must not be used. What it would have said is unknown: it never
// means that there are no warnings.
type Refused struct {
	Why    Why
	Detail string // what is wrong; it quotes no more of the document than a name
	Err    error
}

func (e *Refused) Error() string {
	s := "warning refused: " + string(e.Why)
	if e.Detail != "" {
		s += ": " + e.Detail
	}
	if e.Err != nil {
		s += ": " + e.Err.Error()
	}
	return s
}

func (e *Refused) Unwrap() error { return e.Err }

func wrongShape(format string, args ...any) error {
	return &Refused{Why: WrongShape, Detail: fmt.Sprintf(format, args...)}
}

// element is one element of a small document, with its own text.
type element struct {
	space, name string
	attrs       []xml.Attr
	text        []byte
	kids        []*element
}

// readXML reads a whole document within the limits. A document type is refused, hence no
// entity but the five of XML itself can be used; so is anything but space after the root, for
// a server that fails half way may glue its error onto an answer.
func readXML(raw []byte, most int) (*element, error) {
	if len(raw) > most {
		return nil, &Refused{Why: TooLarge, Detail: fmt.Sprintf("%d bytes (limit: %d bytes)", len(raw), most)}
	}
	d := xml.NewDecoder(bytes.NewReader(bytes.TrimPrefix(raw, []byte("\xef\xbb\xbf"))))
	d.CharsetReader = charset
	var root *element
	var open []*element
	count := 0
	for {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			if root == nil {
				return nil, &Refused{Why: Unreadable, Detail: "no element"}
			}
			return root, nil // the decoder has seen to it that all are closed
		}
		if err != nil {
			return nil, unreadable(err)
		}
		switch t := t.(type) {
		case xml.StartElement:
			if count++; count > maxElements {
				return nil, &Refused{Why: TooLarge, Detail: fmt.Sprintf("more than %d elements", maxElements)}
			}
			if len(open) == maxDepth {
				return nil, &Refused{Why: TooLarge, Detail: fmt.Sprintf("nested more than %d deep", maxDepth)}
			}
			e := &element{space: t.Name.Space, name: t.Name.Local, attrs: t.Attr}
			if len(open) > 0 {
				top := open[len(open)-1]
				top.kids = append(top.kids, e)
			} else if root != nil {
				return nil, &Refused{Why: Unreadable, Detail: "a second root"}
			} else {
				root = e
			}
			open = append(open, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 {
				top := open[len(open)-1]
				top.text = append(top.text, t...)
			} else if len(bytes.TrimSpace(t)) > 0 {
				return nil, &Refused{Why: Unreadable, Detail: "text outside the root"}
			}
		case xml.Directive:
			return nil, &Refused{Why: Unreadable, Detail: "a document type"}
		}
	}
}

// unreadable keeps where the XML broke and drops what the decoder quotes of it.
func unreadable(err error) error {
	if s, ok := errors.AsType[*xml.SyntaxError](err); ok {
		return &Refused{Why: Unreadable, Detail: fmt.Sprintf("not well-formed at line %d", s.Line)}
	}
	return &Refused{Why: Unreadable, Err: err}
}

// charset reads the encodings that are met beside UTF-8. As browsers do, ISO-8859-1 is read as
// windows-1252, which has letters where the former has control codes.
func charset(label string, in io.Reader) (io.Reader, error) {
	switch strings.ToLower(label) {
	case "utf-8", "utf8", "us-ascii", "ascii":
		return in, nil
	case "iso-8859-1", "iso8859-1", "latin1", "latin-1", "windows-1252", "cp1252":
		raw, err := io.ReadAll(in)
		if err != nil {
			return nil, err
		}
		out := make([]byte, 0, len(raw)+len(raw)/8)
		for _, b := range raw {
			r := rune(b)
			if b >= 0x80 && b < 0xa0 {
				r = windows1252[b-0x80]
			}
			out = append(out, string(r)...)
		}
		return bytes.NewReader(out), nil
	}
	return nil, errors.New("an encoding that is not read here")
}

// windows1252 is 0x80 to 0x9f of the code page; the five holes are replacement characters.
var windows1252 = [32]rune{
	'€', 0xfffd, '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', 0xfffd, 'Ž', 0xfffd,
	0xfffd, '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', 0xfffd, 'ž', 'Ÿ',
}

// all lists the children of a name in a namespace that is spoken.
func (e *element) all(name string, spoken func(space string) bool) []*element {
	var out []*element
	for _, k := range e.kids {
		if k.name == name && spoken(k.space) {
			out = append(out, k)
		}
	}
	return out
}

// first is the first of all; nil if there is none.
func (e *element) first(name string, spoken func(space string) bool) *element {
	if i := slices.IndexFunc(e.kids, func(k *element) bool { return k.name == name && spoken(k.space) }); i >= 0 {
		return e.kids[i]
	}
	return nil
}

// str is the text of the first child of a name, without the space around it.
func (e *element) str(name string, spoken func(space string) bool) string {
	if k := e.first(name, spoken); k != nil {
		return string(bytes.TrimSpace(k.text))
	}
	return ""
}

// strs is str for a child that may come more than once; empty ones are left out.
func (e *element) strs(name string, spoken func(space string) bool) []string {
	var out []string
	for _, k := range e.all(name, spoken) {
		if s := string(bytes.TrimSpace(k.text)); s != "" {
			out = append(out, s)
		}
	}
	return out
}

func (e *element) attr(name string) string {
	for _, a := range e.attrs {
		if a.Name.Local == name && a.Name.Space == "" {
			return strings.TrimSpace(a.Value)
		}
	}
	return ""
}

// brief keeps a word of a document short enough for an error.
func brief(s string) string {
	if r := []rune(s); len(r) > 24 {
		s = string(r[:24]) + "…"
	}
	return fmt.Sprintf("%q", s)
}
