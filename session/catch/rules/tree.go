package rules

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
)

// MostBytes is the most that a file may have. The largest example has a quarter of it.
const MostBytes = 64 << 10

const (
	mostDepth = 12
	mostNodes = 20_000
	mostText  = 600 // characters of one value
)

// Why is why a file is refused.
type Why string

// The reasons, a closed set: each has words in every language.
const (
	WhyBig     Why = "big"     // too many bytes or values
	WhyText    Why = "text"    // no UTF-8
	WhySyntax  Why = "syntax"  // neither YAML nor JSON
	WhyAlias   Why = "alias"   // anchors, aliases, tags, several documents
	WhyDeep    Why = "deep"    //
	WhyTwice   Why = "twice"   // a field, or an id, given twice
	WhyField   Why = "field"   // no such field
	WhyMissing Why = "missing" //
	WhyNumber  Why = "number"  //
	WhyUnit    Why = "unit"    //
	WhyFine    Why = "fine"    // finer than a micrometre or microgram
	WhyRange   Why = "range"   //
	WhyDate    Why = "date"    //
	WhyDay     Why = "day"     // no day of the year
	WhyWord    Why = "word"    // one of a few words was wanted
	WhyTrue    Why = "true"    // true or false was wanted
	WhyList    Why = "list"    //
	WhyMap     Why = "map"     // fields were wanted
	WhyScalar  Why = "scalar"  // one value was wanted
	WhyNoSuch  Why = "no_such" // names an area, group or rule that there is none of
	WhyCircle  Why = "circle"  // areas or groups inside themselves
	WhyClash   Why = "clash"   // what cannot both be
	WhyLong    Why = "long"    //
)

// Whys are all of them.
var Whys = []Why{WhyBig, WhyText, WhySyntax, WhyAlias, WhyDeep, WhyTwice, WhyField, WhyMissing, WhyNumber, WhyUnit, WhyFine, WhyRange, WhyDate, WhyDay,
	WhyWord, WhyTrue, WhyList, WhyMap, WhyScalar, WhyNoSuch, WhyCircle, WhyClash, WhyLong}

// Refused is why a file is not taken, and where.
type Refused struct {
	Line  int    // 0: not known
	Field string // "rules 3, min"
	Said  string // what stands there
	Why   Why
	Want  string // what to write instead
}

func (e *Refused) Error() string {
	out := fmt.Sprintf("line %d: %s: %s", e.Line, e.Field, e.Why)
	if e.Said != "" {
		out += fmt.Sprintf(" %q", e.Said)
	}
	if e.Want != "" {
		out += ", want " + e.Want
	}
	return out
}

type shape int

const (
	scalar shape = iota
	list
	mapping
)

// node is a value of a file, of either syntax.
type node struct {
	line   int
	kind   shape
	text   string
	quoted bool
	null   bool
	keys   []*node
	vals   []*node // of a mapping or list
	path   string
}

func (n *node) refuse(why Why, want string) error {
	said := n.text
	if utf8.RuneCountInString(said) > 60 {
		said = string([]rune(said)[:60]) + "…"
	}
	return &Refused{Line: n.line, Field: n.path, Said: said, Why: why, Want: want}
}

func (n *node) field(name string) *node {
	for i, k := range n.keys {
		if k.text == name {
			return n.vals[i]
		}
	}
	return nil
}

// parse reads a file into a tree.
func parse(data []byte) (*node, error) {
	if len(data) > MostBytes {
		return nil, &Refused{Why: WhyBig, Want: strconv.Itoa(MostBytes / 1024)}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0 {
		return nil, &Refused{Why: WhyText}
	}
	trimmed := bytes.TrimSpace(data)
	switch {
	case len(trimmed) == 0:
		return nil, &Refused{Line: 1, Why: WhyMissing, Want: "format: 1"}
	case trimmed[0] == '{':
		return parseJSON(data)
	}
	return parseYAML(data)
}

var yamlLine = regexp.MustCompile(`line (\d+)`)

func parseYAML(data []byte) (*node, error) {
	d := yaml.NewDecoder(bytes.NewReader(data))
	var doc yaml.Node
	if err := d.Decode(&doc); err != nil {
		r := &Refused{Why: WhySyntax}
		if m := yamlLine.FindStringSubmatch(err.Error()); m != nil {
			r.Line, _ = strconv.Atoi(m[1])
		}
		return nil, r
	}
	if len(doc.Content) != 1 {
		return nil, &Refused{Line: 1, Why: WhyMissing, Want: "format: 1"}
	}
	var more yaml.Node
	if err := d.Decode(&more); !errors.Is(err, io.EOF) {
		return nil, &Refused{Line: more.Line, Why: WhyAlias}
	}
	left := mostNodes
	return fromYAML(doc.Content[0], 0, &left)
}

func fromYAML(y *yaml.Node, depth int, left *int) (*node, error) {
	n := &node{line: y.Line, text: y.Value}
	if *left--; *left < 0 {
		return nil, n.refuse(WhyBig, strconv.Itoa(MostBytes/1024))
	}
	if depth > mostDepth {
		return nil, n.refuse(WhyDeep, "")
	}
	if y.Kind == yaml.AliasNode || y.Anchor != "" || y.Style&yaml.TaggedStyle != 0 || y.Tag == "!!merge" {
		return nil, n.refuse(WhyAlias, "")
	}
	switch y.Kind {
	case yaml.ScalarNode:
		n.quoted = y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) != 0
		n.null = y.Tag == "!!null" && !n.quoted
		if utf8.RuneCountInString(n.text) > mostText {
			return nil, n.refuse(WhyLong, strconv.Itoa(mostText))
		}
		return n, nil
	case yaml.SequenceNode:
		n.kind = list
	case yaml.MappingNode:
		n.kind = mapping
	}
	for i, c := range y.Content {
		x, err := fromYAML(c, depth+1, left)
		if err != nil {
			return nil, err
		}
		if n.kind == mapping && i%2 == 0 {
			if x.kind != scalar {
				return nil, x.refuse(WhyScalar, "")
			}
			n.keys = append(n.keys, x)
		} else {
			n.vals = append(n.vals, x)
		}
	}
	return n, nil
}

func parseJSON(data []byte) (*node, error) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	j := &jsonReader{d: d, data: data, left: mostNodes}
	n, err := j.value(0)
	if err != nil {
		return nil, j.wrap(err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, &Refused{Line: j.line(), Why: WhySyntax}
	}
	return n, nil
}

type jsonReader struct {
	d    *json.Decoder
	data []byte
	left int
}

// line is that of what was read last.
func (j *jsonReader) line() int {
	at := int(min(j.d.InputOffset(), int64(len(j.data))))
	return 1 + bytes.Count(j.data[:at], []byte("\n"))
}

func (j *jsonReader) wrap(err error) error {
	var refused *Refused
	if errors.As(err, &refused) {
		return err
	}
	line := j.line()
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		line = 1 + bytes.Count(j.data[:min(int(syntax.Offset), len(j.data))], []byte("\n"))
	}
	return &Refused{Line: line, Why: WhySyntax}
}

func (j *jsonReader) value(depth int) (*node, error) {
	t, err := j.d.Token()
	if err != nil {
		return nil, err
	}
	n := &node{line: j.line()}
	if j.left--; j.left < 0 {
		return nil, n.refuse(WhyBig, strconv.Itoa(MostBytes/1024))
	}
	if depth > mostDepth {
		return nil, n.refuse(WhyDeep, "")
	}
	switch v := t.(type) {
	case json.Delim:
		n.kind = list
		if v == '{' {
			n.kind = mapping
		}
		for j.d.More() {
			if n.kind == mapping {
				k, err := j.value(depth + 1)
				if err != nil {
					return nil, err
				}
				n.keys = append(n.keys, k)
			}
			x, err := j.value(depth + 1)
			if err != nil {
				return nil, err
			}
			n.vals = append(n.vals, x)
		}
		_, err := j.d.Token() // the closing one
		return n, err
	case string:
		n.text, n.quoted = v, true
	case json.Number:
		n.text = v.String()
	case bool:
		n.text = strconv.FormatBool(v)
	case nil:
		n.null = true
	}
	if utf8.RuneCountInString(n.text) > mostText {
		return nil, n.refuse(WhyLong, strconv.Itoa(mostText))
	}
	n.text = strings.TrimSpace(n.text)
	return n, nil
}
