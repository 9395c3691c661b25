package bottest

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"strconv"
)

// Client is an http client that reaches the server without a socket, whatever host is asked for:
// for tests in a synctest bubble. A cut connection is an io.ErrUnexpectedEOF.
func (s *Server) Client() *http.Client { return Local(s) }

// Local is such a client for any handler: for what the server delivers to a webhook.
func Local(h http.Handler) *http.Client { return &http.Client{Transport: inProcess{h}} }

type inProcess struct{ h http.Handler }

func (t inProcess) RoundTrip(req *http.Request) (resp *http.Response, err error) {
	if req.Body == nil {
		req.Body = http.NoBody
	}
	defer req.Body.Close()
	rec := &recorder{header: http.Header{}, status: http.StatusOK}
	defer func() {
		switch v := recover(); v {
		case nil:
		case http.ErrAbortHandler:
			if err = req.Context().Err(); err == nil {
				err = io.ErrUnexpectedEOF
			}
			resp, err = nil, fmt.Errorf("read the answer: %w", err)
		default:
			panic(v)
		}
	}()
	if err := req.Context().Err(); err != nil {
		return nil, err
	}
	t.h.ServeHTTP(rec, req)
	if err := req.Context().Err(); err != nil {
		return nil, err
	}
	return &http.Response{
		Status:     strconv.Itoa(rec.status) + " " + http.StatusText(rec.status),
		StatusCode: rec.status,
		Proto:      "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1,
		Header:        rec.header,
		Body:          io.NopCloser(bytes.NewReader(rec.body.Bytes())),
		ContentLength: int64(rec.body.Len()),
		Request:       req,
	}, nil
}

type recorder struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (r *recorder) Header() http.Header         { return r.header }
func (r *recorder) WriteHeader(status int)      { r.status = status }
func (r *recorder) Write(p []byte) (int, error) { return r.body.Write(p) }
