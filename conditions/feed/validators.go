package feed

import (
	"net/http"
	"sync"
)

// validators remember what was got from an address, so that asking again costs a service next to nothing where it says that
// nothing changed (RFC 9110, conditional requests). MET Norway asks for it; buoys and indexes change less often than they
// are asked for.
type validators struct {
	mu   sync.Mutex
	kept map[string]validated
}

type validated struct {
	tag, modified string
	body          []byte
}

// validatorRoom bounds the bodies kept; the largest are a few hundred kilobytes.
const (
	validatorRoom = 32
	validatedMost = 1 << 20
)

// ask makes a request conditional if its address was got before, and gives the body that a 304 stands for.
func (v *validators) ask(r *http.Request) []byte {
	v.mu.Lock()
	defer v.mu.Unlock()
	k, ok := v.kept[r.URL.String()]
	if !ok {
		return nil
	}
	if k.tag != "" {
		r.Header.Set("If-None-Match", k.tag)
	}
	if k.modified != "" { // exactly as it was sent: some servers compare the text
		r.Header.Set("If-Modified-Since", k.modified)
	}
	return k.body
}

// keep remembers a body that came with something to ask by.
func (v *validators) keep(address string, h http.Header, body []byte) {
	k := validated{tag: h.Get("ETag"), modified: h.Get("Last-Modified"), body: body}
	if k.tag == "" && k.modified == "" || len(body) > validatedMost {
		return
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.kept == nil {
		v.kept = map[string]validated{}
	}
	if _, ok := v.kept[address]; !ok && len(v.kept) >= validatorRoom {
		for old := range v.kept { // any: what is asked for often comes back at once
			delete(v.kept, old)
			break
		}
	}
	v.kept[address] = k
}
