package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptrace"
	"sync/atomic"
	"time"
)

// defaultClient follows no redirects: the token is part of the address and must not be taken elsewhere.
var defaultClient = &http.Client{
	Transport: &http.Transport{
		Proxy:                 http.ProxyFromEnvironment,
		DialContext:           (&net.Dialer{Timeout: 10 * time.Second, KeepAlive: 30 * time.Second}).DialContext,
		TLSHandshakeTimeout:   10 * time.Second,
		ResponseHeaderTimeout: longestHold + pollSlack,
		IdleConnTimeout:       90 * time.Second,
		MaxIdleConnsPerHost:   16,
		ForceAttemptHTTP2:     true,
	},
	CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
}

// answer is the frame of every answer of the Bot API.
type answer struct {
	OK          bool            `json:"ok"`
	Result      json.RawMessage `json:"result"`
	Code        int             `json:"error_code"`
	Description string          `json:"description"`
	Parameters  struct {
		RetryAfter int   `json:"retry_after"`
		MigrateTo  int64 `json:"migrate_to_chat_id"`
	} `json:"parameters"`
}

// attempt records what became of one call on its way. The library's errors do not tell a call
// that never left from one whose answer got lost, nor does it say which message it could not
// decode the answer about; an alert needs to know.
type attempt struct {
	built   bool        // the request could be put together
	reached atomic.Bool // there was a connection: from here on the call may have arrived
	dialled atomic.Bool // one was asked for, and the transport is one that tells
	status  int         // of the answer, 0 for none
	answer  answer      // what of it was Telegram's
}

type attemptKey struct{}

func withAttempt(ctx context.Context) (context.Context, *attempt) {
	a := &attempt{}
	return context.WithValue(ctx, attemptKey{}, a), a
}

// watched is the http client the library calls through.
type watched struct{ client *http.Client }

const mostAnswer = 4 << 20

func (w watched) Do(req *http.Request) (*http.Response, error) {
	a, ok := req.Context().Value(attemptKey{}).(*attempt)
	if !ok {
		a = &attempt{}
	}
	// The library streams its form through a pipe. Read to the end it can be sent again by the
	// transport when an idle connection turns out to be closed before anything was sent.
	form, err := io.ReadAll(req.Body)
	req.Body.Close()
	if err != nil {
		return nil, fmt.Errorf("put the call together: %w", err)
	}
	a.built = true
	ctx := httptrace.WithClientTrace(req.Context(), &httptrace.ClientTrace{
		GetConn: func(string) { a.dialled.Store(true) },
		GotConn: func(httptrace.GotConnInfo) { a.reached.Store(true) },
	})
	req = req.WithContext(ctx)
	req.ContentLength = int64(len(form))
	req.GetBody = func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(form)), nil }
	req.Body = io.NopCloser(bytes.NewReader(form))
	resp, err := w.client.Do(req)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(io.LimitReader(resp.Body, mostAnswer))
	if err != nil {
		return nil, err
	}
	a.status = resp.StatusCode
	if json.Unmarshal(body, &a.answer) != nil {
		a.answer = answer{}
	}
	resp.Body = io.NopCloser(bytes.NewReader(body))
	return resp, nil
}
