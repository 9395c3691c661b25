package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The house as rules: who may import whom, and why. A package that is in no rule fails, so that a new one is thought
// about. Test files are free; shipped ones are not.

const module = "ledgehand/"

// layers lists, for each package, the packages of ours it may import.
var layers = map[string]struct {
	may []string
	why string
}{
	"conditions/measure":   {nil, "units know nothing"},
	"conditions/checkrows": {nil, "reads tables, for tests"},
	"conditions/wave":      {[]string{"conditions/measure"}, "physics"},
	"conditions/tide":      {[]string{"conditions/measure"}, "physics"},
	"conditions/sky":       {[]string{"conditions/measure"}, "physics"},
	"conditions/warning":   {[]string{"conditions", "conditions/measure"}, "judges what feeds bring"},
	"conditions/ledge":     {[]string{"conditions/measure", "conditions/wave", "conditions/tide"}, "a ledge's own numbers"},
	"conditions":           {[]string{"conditions/measure", "conditions/wave", "conditions/tide", "conditions/sky", "conditions/ledge"}, "puts the physics together"},
	"conditions/feed":      {[]string{"conditions", "conditions/measure", "conditions/warning", "conditions/wave"}, "brings numbers in from outside"},
	"session/outing":       {nil, "a state machine"},
	"session/trip":         {nil, "a state machine"},
	"session/watch":        {nil, "a state machine"},
	"session/catch":        {nil, "sums and rules"},
	"session/lookout":      {nil, "a state machine"},
	"session/after":        {nil, "answers and what they come to"},
	"session/berley":       {nil, "a recipe and its sums"},
	"session/notice":       {nil, "what was told, and what is different"},
	"session/catch/names":  {nil, "a table"},
	"session/catch/rules":  {[]string{"session/catch", "session/catch/names"}, "what rules say about a fish"},
	"session/catch/tally":  {[]string{"session/catch"}, "sums and rates over time"},
	"session/catch/files":  {[]string{"session/catch", "session/catch/names", "session/catch/tally"}, "what was caught as other programs read it"},
	"session/catch/weight": {nil, "a table"},
	"session":              {[]string{"session/after", "session/berley", "session/lookout", "session/notice", "session/outing", "session/trip", "session/watch", "session/catch"}, "sees neither tides nor chats"},
	"session/redisstore":   {[]string{"session"}, "only it speaks Redis"},
	"session/embedded":     {nil, "only starts a server"},
	"session/storetest":    {[]string{"session", "session/redisstore"}, "for tests"},
	"bot/chat":             {nil, "what any chat is"},
	"bot/ical":             {nil, "a plan as a calendar file"},
	"bot/command":          {[]string{"conditions/measure", "session/catch/names"}, "text to values"},
	"bot/wording":          {[]string{"bot/chat", "bot/picture", "conditions", "conditions/measure", "conditions/ledge", "conditions/tide", "conditions/sky", "session/outing", "session/trip", "session/watch", "session/catch", "session/catch/rules", "session/catch/tally", "session/after", "session/berley", "session/notice"}, "values to text"},
	"bot/picture":          {nil, "draws what it is given"},
	"bot/places":           {[]string{"conditions/measure"}, "files of places, and nothing of ledges"},
	"bot/pump":             {[]string{"bot/chat", "session"}, "moves queues and decides nothing"},
	"bot/vitals":           {[]string{"bot/chat", "session"}, "hears words and instants, and holds nobody up"},
	"bot/telegram":         {[]string{"bot/chat"}, "a chat service knows nothing of tides"},
	"bot/mail":             {[]string{"bot/chat"}, "a way to write to people, like a chat service, and as ignorant"},
	"bot/mailtest":         {nil, "a mail server, for tests"},
	"bot/console":          {[]string{"bot/chat"}, "a chat service knows nothing of tides"},
	"bot/bottest":          {[]string{"bot/chat"}, "the fake service, for tests and the demo"},
	"bot": {[]string{"bot/chat", "bot/command", "bot/wording", "bot/picture", "bot/places", "session", "session/outing", "session/trip", "session/watch", "session/catch", "session/catch/names", "session/catch/rules", "session/catch/tally", "session/catch/files", "session/catch/weight", "session/lookout", "session/after", "session/berley", "session/notice", "bot/ical",
		"conditions", "conditions/feed", "conditions/ledge", "conditions/measure", "conditions/sky", "conditions/tide", "conditions/wave"}, "the only place where session and conditions meet"},
	"cmd/ledgehand":                {[]string{"*"}, "only it knows Redis, Telegram and feeds together"},
	"conditions/tide/gencatalogue": {[]string{"*"}, "builds an embedded file, ships nothing"},
}

// pure packages do no I/O and read no clock: what they answer depends on what they are given.
var pure = []string{
	"conditions", "conditions/measure", "conditions/wave", "conditions/tide", "conditions/sky", "conditions/ledge", "conditions/warning",
	"session/after", "session/berley", "session/notice", "session/lookout", "session/outing", "session/trip", "session/watch", "session/catch", "session/catch/names", "session/catch/rules", "session/catch/tally", "session/catch/files", "session/catch/weight",
	"bot/command", "bot/wording", "bot/picture", "bot/ical", "bot/places",
}

var impureImports = []string{"context", "os", "net", "net/http", "log", "log/slog", "os/exec", "syscall"}

// only says which outside module may be imported where.
var only = map[string][]string{
	"github.com/soniakeys":          {"conditions/sky"},
	"github.com/go-telegram/bot":    {"bot/telegram"},
	"github.com/redis/go-redis":     {"session/redisstore", "session/storetest"},
	"github.com/alicebob/miniredis": {"session/embedded"},
	"github.com/nicksnyder/go-i18n": {"bot/wording"},
	"golang.org/x/image":            {"bot/picture"},
	"github.com/go-fonts/dejavu":    {"bot/picture"},
	"golang.org/x/text":             {"bot/wording", "conditions/tide"},
	"golang.org/x/time":             {"conditions/feed"},
	"golang.org/x/sync":             {"conditions/feed"},
	"github.com/prometheus":         {"bot/vitals"},
	"github.com/wneessen/go-mail":   {"bot/mail"},
	"go.yaml.in/yaml":               {"session/catch/rules"},
	"github.com/arran4/golang-ical": {"bot/ical"},
	"github.com/emersion/go-ical":   {}, // reads in tests what the other wrote
	"gonum.org":                     {"session/catch/tally"},
}

// clocks are the files that may ask what time it is: the adapters stamp, the loops tick, the command starts.
var clocks = []string{"cmd/ledgehand/", "bot/telegram/", "session/storetest/"}

type pkg struct {
	ImportPath string
	Imports    []string
	GoFiles    []string
	Dir        string
}

func packages(t *testing.T) []pkg {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports,GoFiles,Dir", "ledgehand/...")
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, stderr.String())
	}
	var all []pkg
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p pkg
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

func TestImports(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range packages(t) {
		name := strings.TrimPrefix(p.ImportPath, module)
		seen[name] = true
		rule, ok := layers[name]
		if !ok {
			t.Errorf("package %s: no rule says what it may import", name)
			continue
		}
		for _, imp := range p.Imports {
			if ours, ok := strings.CutPrefix(imp, module); ok {
				if !slices.Contains(rule.may, ours) && !slices.Contains(rule.may, "*") {
					t.Errorf("package %s imports %s, want only %v: %s", name, ours, rule.may, rule.why)
				}
				continue
			}
			for mod, where := range only {
				if strings.HasPrefix(imp, mod) && !slices.Contains(where, name) {
					t.Errorf("package %s imports %s, want that only in %v", name, imp, where)
				}
			}
			if slices.Contains(pure, name) && slices.Contains(impureImports, imp) {
				t.Errorf("package %s imports %s, want it pure", name, imp)
			}
			if imp == "unsafe" && name != "session/storetest" {
				t.Errorf("package %s imports unsafe", name)
			}
		}
	}
	for name := range layers {
		if !seen[name] {
			t.Errorf("rule for %s: there is no such package any more", name)
		}
	}
	for _, name := range pure {
		if !seen[name] {
			t.Errorf("pure package %s: there is no such package any more", name)
		}
	}
}

// Every shipped package says what it is; nothing but the edges asks for the time; nobody writes to stdout behind our back.
func TestSources(t *testing.T) {
	root := filepath.Join("..", "..")
	fset := token.NewFileSet()
	docs := map[string]bool{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		if d.IsDir() {
			if strings.HasPrefix(d.Name(), ".") && rel != "." || d.Name() == "testdata" {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(rel, ".go") || strings.HasSuffix(rel, "_test.go") {
			return nil
		}
		src, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		f, err := parser.ParseFile(fset, path, src, parser.ParseComments)
		if err != nil {
			return err
		}
		dir := filepath.ToSlash(filepath.Dir(rel))
		docs[dir] = docs[dir] || f.Doc != nil
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			sel, ok := call.Fun.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			x, ok := sel.X.(*ast.Ident)
			if !ok {
				return true
			}
			file := filepath.ToSlash(rel)
			if x.Name == "time" && (sel.Sel.Name == "Now" || sel.Sel.Name == "Since" || sel.Sel.Name == "Until") &&
				!slices.ContainsFunc(clocks, func(c string) bool { return strings.HasPrefix(file, c) }) {
				t.Errorf("%s: time.%s, want the time handed in", fset.Position(n.Pos()), sel.Sel.Name)
			}
			if x.Name == "fmt" && strings.HasPrefix(sel.Sel.Name, "Print") && !strings.HasSuffix(dir, "/gencatalogue") {
				t.Errorf("%s: fmt.%s, want an explicit writer", fset.Position(n.Pos()), sel.Sel.Name)
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for dir, ok := range docs {
		if !ok {
			t.Errorf("package %s: no package comment", dir)
		}
	}
}

// The top level of the repository is fixed.
func TestTopLevel(t *testing.T) {
	want := []string{".ci", ".git", ".gitignore", "DEVELOPERS.md", "README.md", "bot", "cmd", "conditions", "go.mod", "go.sum", "session", "testdata"}
	entries, err := os.ReadDir(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !slices.Contains(want, e.Name()) {
			t.Errorf("top level has %s, want only %v", strconv.Quote(e.Name()), want)
		}
	}
}
