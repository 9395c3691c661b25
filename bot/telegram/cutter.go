package telegram

import "strings"

// cutter fills one piece after another.
type cutter struct {
	limit  int
	mark   string // put at the end of every piece, before its closing tags
	pieces []string

	began []token // tags open where the piece begins
	body  []token
	units int
}

func cutAll(text string, limit int, mark string) []string {
	c := &cutter{limit: max(limit, 2), mark: mark} // any character fits into two units
	for line := range lines(tokens(text)) {
		n := 0
		for _, t := range line {
			if !t.line {
				n += t.units
			}
		}
		if c.units > 0 && c.units+n > c.limit {
			c.finish(len(c.body))
		}
		if n > c.limit {
			c.words(line)
			continue
		}
		for _, t := range line {
			c.add(t) // the break at the end may be one too many: finish takes it off again
		}
	}
	c.finish(len(c.body))
	return c.pieces
}

// lines yields tokens line by line, each with its line break.
func lines(ts []token) func(yield func([]token) bool) {
	return func(yield func([]token) bool) {
		from := 0
		for i, t := range ts {
			if t.line {
				if !yield(ts[from : i+1]) {
					return
				}
				from = i + 1
			}
		}
		if from < len(ts) {
			yield(ts[from:])
		}
	}
}

func (c *cutter) add(t token) {
	c.body = append(c.body, t)
	c.units += t.units
}

// words adds a line that does not fit into one piece.
func (c *cutter) words(line []token) {
	for _, t := range line {
		if t.space && c.units+t.units > c.limit {
			c.finish(len(c.body))
			continue
		}
		for c.units+t.units > c.limit {
			c.finish(c.lastSpace())
		}
		c.add(t)
	}
}

// lastSpace is where to cut within a line: before its last blank, or at its end where it has none.
func (c *cutter) lastSpace() int {
	for i := len(c.body) - 1; i > 0; i-- {
		if c.body[i].space {
			return i
		}
	}
	return len(c.body)
}

// finish makes a piece of the first n tokens and begins the next with the others.
func (c *cutter) finish(n int) {
	piece, rest := c.body[:n], c.body[n:]
	if len(rest) > 0 && rest[0].space {
		rest = rest[1:]
	}
	open := openAfter(c.began, piece)
	for len(piece) > 0 && piece[len(piece)-1].space {
		piece = piece[:len(piece)-1]
	}
	blank := true
	var b strings.Builder
	for _, t := range c.began {
		b.WriteString(t.raw)
	}
	for _, t := range piece {
		b.WriteString(t.raw)
		blank = blank && (t.tag != "" || t.space)
	}
	b.WriteString(c.mark)
	for i := len(open) - 1; i >= 0; i-- {
		b.WriteString("</" + open[i].tag + ">")
	}
	if !blank {
		c.pieces = append(c.pieces, b.String())
	}
	c.began, c.body, c.units = open, append([]token(nil), rest...), 0
	for _, t := range c.body {
		c.units += t.units
	}
}

// openAfter is which tags are open after ts when began were open before. A closing tag without
// its opening one changes nothing: Telegram will say so.
func openAfter(began, ts []token) []token {
	open := append([]token(nil), began...)
	for _, t := range ts {
		switch {
		case t.tag == "":
		case !t.close:
			open = append(open, t)
		case len(open) > 0 && open[len(open)-1].tag == t.tag:
			open = open[:len(open)-1]
		}
	}
	return open
}
