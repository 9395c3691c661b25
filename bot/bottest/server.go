package bottest

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"time"
)

// The bot this server knows.
const (
	Token             = "7000000001:constructed-for-tests-only"
	BotID       int64 = 7000000001
	BotUsername       = "LedgehandTestBot"
	BotName           = "Ledgehand"
)

// Server is a Bot API of its own with its people and chats. Its methods may be called from
// several goroutines. Acts that cannot be (a stranger writing in a group) panic: they are
// mistakes of the script, not of the bot.
type Server struct {
	now func() time.Time

	mu        sync.Mutex
	people    map[int64]*human
	rooms     map[int64]*room
	shared    int // last message id of private chats and basic groups, which Telegram numbers together
	privacy   bool
	flood     int // messages a minute in a group, 0 for no limit
	flooded   int
	faults    []*Fault
	calls     map[string]int
	refused   []string
	commands  map[string][]Command
	taps      map[string]*query
	lastTap   int64
	files     int
	documents map[string][]byte // files sent, by reference
	uploads   int
	pictures  map[string][]byte // by file id, of every size
	events    []Event

	queue   []*update
	nextID  int64
	allowed map[string]bool // nil for all
	bell    chan struct{}   // closed when an update arrives
	poll    chan struct{}   // closed to cut off the poll that waits
	hook    hook
}

// NewServer makes a server without people. now tells its time of day.
func NewServer(now func() time.Time) *Server {
	return &Server{
		now:      now,
		people:   map[int64]*human{},
		rooms:    map[int64]*room{},
		privacy:  true,
		calls:    map[string]int{},
		commands: map[string][]Command{},
		taps:     map[string]*query{},
		pictures: map[string][]byte{}, documents: map[string][]byte{},
		nextID: 100001,
		bell:   make(chan struct{}),
	}
}

// SetPrivacy switches privacy mode, which is on at first as with every new bot: in groups the bot
// then sees commands, replies to its messages and service messages only.
func (s *Server) SetPrivacy(on bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.privacy = on
}

// LimitGroups makes groups take so many messages a minute, then answer 429. Telegram's FAQ says 20. 0 lifts the limit.
func (s *Server) LimitGroups(perMinute int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.flood = perMinute
}

// refusal is an error as the Bot API words it.
type refusal struct {
	code      int
	text      string
	after     int
	migrateTo int64
}

func bad(format string, a ...any) *refusal {
	return &refusal{code: http.StatusBadRequest, text: "Bad Request: " + fmt.Sprintf(format, a...)}
}

func forbidden(text string) *refusal {
	return &refusal{code: http.StatusForbidden, text: "Forbidden: " + text}
}

type method func(s *Server, ctx context.Context, p params) (any, *refusal)

// The methods the bot may call. All but getUpdates run with the server locked.
var methods = map[string]method{
	"getMe":                  (*Server).getMe,
	"sendMessage":            (*Server).sendMessage,
	"sendPhoto":              (*Server).sendPhoto,
	"sendDocument":           (*Server).sendDocument,
	"getFile":                (*Server).getFile,
	"editMessageText":        (*Server).editMessageText,
	"editMessageCaption":     (*Server).editMessageCaption,
	"editMessageMedia":       (*Server).editMessageMedia,
	"editMessageReplyMarkup": (*Server).editMessageReplyMarkup,
	"deleteMessage":          (*Server).deleteMessage,
	"answerCallbackQuery":    (*Server).answerCallbackQuery,
	"setMyCommands":          (*Server).setMyCommands,
	"sendChatAction":         (*Server).sendChatAction,
	"getChatAdministrators":  (*Server).getChatAdministrators,
	"setWebhook":             (*Server).setWebhook,
	"deleteWebhook":          (*Server).deleteWebhook,
	"getWebhookInfo":         (*Server).getWebhookInfo,
}

// ServeHTTP answers /bot<token>/METHOD like the Bot API.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if path, ok := strings.CutPrefix(r.URL.Path, "/file/bot"+Token+"/"); ok {
		s.download(w, r, path)
		return
	}
	rest, ok := strings.CutPrefix(r.URL.Path, "/bot")
	token, name, found := strings.Cut(rest, "/")
	switch {
	case !ok || !found || !strings.Contains(token, ":"):
		write(w, nil, &refusal{code: http.StatusNotFound, text: "Not Found"})
		return
	case token != Token:
		write(w, nil, &refusal{code: http.StatusUnauthorized, text: "Unauthorized"})
		return
	}
	p, err := readParams(r)
	if err != nil {
		write(w, nil, bad("%v", err))
		return
	}
	s.mu.Lock()
	s.calls[name]++
	f := s.fault(name, p.id("chat_id"))
	s.mu.Unlock()
	if f != nil && f.answer(r.Context(), w) {
		return
	}
	var result any
	var no *refusal
	if name == "getUpdates" {
		result, no = s.getUpdates(r.Context(), p)
	} else if do := methods[name]; do != nil {
		s.mu.Lock()
		result, no = do(s, r.Context(), p)
		s.mu.Unlock()
	} else {
		no = &refusal{code: http.StatusNotFound, text: "Not Found: method not found"}
	}
	if no != nil && name != "getUpdates" {
		s.mu.Lock()
		s.refused = append(s.refused, name+": "+no.text)
		s.mu.Unlock()
	}
	if f != nil && f.Lost {
		panic(http.ErrAbortHandler)
	}
	write(w, result, no)
}

func write(w http.ResponseWriter, result any, no *refusal) {
	body := map[string]any{"ok": true, "result": result}
	status := http.StatusOK
	if no != nil {
		status = no.code
		body = map[string]any{"ok": false, "error_code": no.code, "description": no.text}
		params := map[string]any{}
		if no.after > 0 {
			params["retry_after"] = no.after
			w.Header().Set("Retry-After", fmt.Sprint(no.after))
		}
		if no.migrateTo != 0 {
			params["migrate_to_chat_id"] = no.migrateTo
		}
		if len(params) > 0 {
			body["parameters"] = params
		}
	}
	out, err := json.Marshal(body)
	if err != nil {
		panic(fmt.Sprintf("bottest: an answer that is no JSON: %v", err))
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	w.Write(out) // a client that has gone does not matter
}

// Calls says how often a method was called, faults included.
func (s *Server) Calls(method string) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.calls[method]
}

// Flooded says how often a group's limit was reached.
func (s *Server) Flooded() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.flooded
}

// Uploads says how many pictures were uploaded, those sent by id not among them.
func (s *Server) Uploads() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.uploads
}

// ForgetPictures makes every file id so far one that the server does not know.
func (s *Server) ForgetPictures() {
	s.mu.Lock()
	defer s.mu.Unlock()
	clear(s.pictures)
}

// Refused lists the calls that were not taken for a reason of their own, injected faults aside.
func (s *Server) Refused() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]string(nil), s.refused...)
}

func (s *Server) getMe(context.Context, params) (any, *refusal) {
	me := botUser()
	me["can_join_groups"], me["can_read_all_group_messages"], me["supports_inline_queries"] = true, !s.privacy, false
	return me, nil
}

func botUser() map[string]any {
	return map[string]any{"id": BotID, "is_bot": true, "first_name": BotName, "username": BotUsername}
}
