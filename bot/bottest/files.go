package bottest

import (
	"context"
	"net/http"
	"strconv"
	"strings"

	"ledgehand/bot/chat"
)

// mostFetched is the most bytes of a file that a bot may fetch (Bot API, getFile: 20 MB).
const mostFetched = 20 << 20

// keep gives a file the reference it can be fetched by. Called with the server locked.
func (s *Server) keep(l *line) {
	s.files++
	l.fileRef = "file" + strconv.Itoa(s.files)
	s.documents[l.fileRef] = l.file
}

func (s *Server) sendDocument(_ context.Context, p params) (any, *refusal) {
	data, name := p.files["document"], p.names["document"]
	if name == "" {
		return nil, bad("there is no document in the request")
	}
	if len(data) == 0 {
		return nil, bad("file must be non-empty")
	}
	l := &line{file: data, fileName: name}
	s.keep(l)
	return s.post(p, l, "caption", p.str("parse_mode"), chat.MaxCaption, "message caption")
}

func (s *Server) getFile(_ context.Context, p params) (any, *refusal) {
	id := p.str("file_id")
	data, ok := s.documents[id]
	switch {
	case !ok:
		return nil, bad("wrong file_id or the file is temporarily unavailable")
	case len(data) > mostFetched:
		return nil, bad("file is too big")
	}
	return map[string]any{"file_id": id, "file_unique_id": "u" + id, "file_size": len(data), "file_path": "documents/" + id}, nil
}

// download hands a file out at the address that getFile told.
func (s *Server) download(w http.ResponseWriter, r *http.Request, path string) {
	s.mu.Lock()
	s.calls["download"]++
	f := s.fault("download", 0)
	data, ok := s.documents[strings.TrimPrefix(path, "documents/")]
	s.mu.Unlock()
	if f != nil && f.answer(r.Context(), w) {
		return
	}
	if !ok {
		http.Error(w, "", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Write(data)
}

// ForgetFiles makes every file sent so far one that the server does not have any more.
func (s *Server) ForgetFiles() {
	s.mu.Lock()
	defer s.mu.Unlock()
	clear(s.documents)
}
