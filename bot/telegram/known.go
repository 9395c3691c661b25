package telegram

import (
	"crypto/sha256"
	"encoding/json"
	"sync"
)

// mostKnown bounds how many pictures are remembered, some 150 bytes each.
const mostKnown = 512

// pictures remembers under which id Telegram keeps a picture it was given, so that the same one need not be uploaded
// again: repeated uploads of one size are throttled (open-source Bot API server). The zero value is ready.
type pictures struct {
	mu    sync.Mutex
	ids   map[pictureSum]string
	order []pictureSum // as they came; the oldest makes room
	next  int
}

type pictureSum = [sha256.Size]byte

func (p *pictures) find(sum pictureSum) string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.ids[sum]
}

func (p *pictures) learn(sum pictureSum, id string) {
	if id == "" {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.ids == nil {
		p.ids = map[pictureSum]string{}
	}
	if _, known := p.ids[sum]; !known {
		if len(p.order) < mostKnown {
			p.order = append(p.order, sum)
		} else {
			delete(p.ids, p.order[p.next])
			p.order[p.next] = sum
			p.next = (p.next + 1) % mostKnown
		}
	}
	p.ids[sum] = id
}

// forget drops an id that Telegram does not take any more. The sum keeps its place in line.
func (p *pictures) forget(sum pictureSum) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if _, known := p.ids[sum]; known {
		p.ids[sum] = ""
	}
}

// fileID is the id of the largest size of the photo in an answer, "" for none.
func fileID(result json.RawMessage) string {
	var m struct {
		Photo []struct {
			ID     string `json:"file_id"`
			Width  int    `json:"width"`
			Height int    `json:"height"`
		} `json:"photo"`
	}
	if json.Unmarshal(result, &m) != nil {
		return ""
	}
	most, id := -1, ""
	for _, s := range m.Photo {
		if a := s.Width * s.Height; a > most {
			most, id = a, s.ID
		}
	}
	return id
}
