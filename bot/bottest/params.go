package bottest

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"
)

// params are the parameters of one call, however they came: query, form, multipart or JSON.
type params struct {
	values map[string]string
	files  map[string][]byte
	names  map[string]string // of the files
}

const mostBody = 50 << 20 // Bot API: no upload is larger

func readParams(r *http.Request) (params, error) {
	p := params{values: map[string]string{}, files: map[string][]byte{}, names: map[string]string{}}
	for k, v := range r.URL.Query() {
		p.values[k] = v[0]
	}
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	switch kind {
	case "application/json":
		var body map[string]json.RawMessage
		if err := json.NewDecoder(io.LimitReader(r.Body, mostBody)).Decode(&body); err != nil && !errors.Is(err, io.EOF) {
			return p, fmt.Errorf("can't parse JSON object")
		}
		for k, v := range body {
			var s string
			if json.Unmarshal(v, &s) != nil {
				s = string(v)
			}
			p.values[k] = s
		}
	case "multipart/form-data":
		mr, err := r.MultipartReader()
		if err != nil {
			return p, fmt.Errorf("can't parse multipart form")
		}
		for {
			part, err := mr.NextPart()
			if err == io.EOF || errors.Is(err, io.EOF) { // a call without parameters has no part at all
				break
			}
			if err != nil {
				return p, fmt.Errorf("can't parse multipart form")
			}
			data, err := io.ReadAll(io.LimitReader(part, mostBody))
			if err != nil {
				return p, fmt.Errorf("can't read multipart form")
			}
			if part.FileName() != "" {
				p.files[part.FormName()], p.names[part.FormName()] = data, part.FileName()
			} else {
				p.values[part.FormName()] = string(data)
			}
		}
	default:
		if err := r.ParseForm(); err != nil {
			return p, fmt.Errorf("can't parse form")
		}
		for k, v := range r.PostForm {
			p.values[k] = v[0]
		}
	}
	return p, nil
}

func (p params) str(name string) string { return p.values[name] }
func (p params) flag(name string) bool  { return strings.EqualFold(p.values[name], "true") }

func (p params) int(name string) int {
	n, _ := strconv.Atoi(p.values[name]) // Telegram reads what is no number as 0 too
	return n
}

func (p params) id(name string) int64 {
	n, _ := strconv.ParseInt(p.values[name], 10, 64)
	return n
}

// object reads a parameter that holds JSON; ok is false when it is absent.
func (p params) object(name string, into any) (ok bool, no *refusal) {
	v := p.values[name]
	if v == "" {
		return false, nil
	}
	if json.Unmarshal([]byte(v), into) != nil {
		return false, bad("can't parse %s JSON object", strings.ReplaceAll(name, "_", " "))
	}
	return true, nil
}
