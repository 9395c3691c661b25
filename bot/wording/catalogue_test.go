package wording

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"ledgehand/session/catch/files"
)

var english = readCatalogue()

// readCatalogue gives the forms of each message: one, or one for each plural form.
func readCatalogue() map[string][]string {
	body, err := catalogue.ReadFile("messages.en.json")
	if err != nil {
		panic(err)
	}
	var raw map[string]json.RawMessage
	if err := json.Unmarshal(body, &raw); err != nil {
		panic(err)
	}
	out := map[string][]string{}
	for id, v := range raw {
		var one string
		var forms map[string]string
		switch {
		case json.Unmarshal(v, &one) == nil:
			out[id] = []string{one}
		case json.Unmarshal(v, &forms) == nil:
			for _, k := range slices.Sorted(maps.Keys(forms)) {
				out[id] = append(out[id], forms[k])
			}
		default:
			panic("message " + id + " is neither a text nor plural forms")
		}
	}
	return out
}

func ids() []string { return slices.Sorted(maps.Keys(english)) }

var placeholder = regexp.MustCompile(`\{\{\.([a-z0-9]+)\}\}`)

func placeholders(id string) []string {
	seen := map[string]bool{}
	for _, form := range english[id] {
		for _, m := range placeholder.FindAllStringSubmatch(form, -1) {
			seen[m[1]] = true
		}
	}
	if len(english[id]) > 1 {
		seen["n"] = true // without it no form can be chosen
	}
	return slices.Sorted(maps.Keys(seen))
}

// parse reads a Go file of this module.
func parse(t testing.TB, file string) *ast.File {
	f, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// constants are the string constants of a named type in a file: word -> name of the constant. With typ "" those of no type.
func constants(t testing.TB, file, typ string) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, d := range parse(t, file).Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		for _, s := range g.Specs {
			v := s.(*ast.ValueSpec)
			name := ""
			if id, ok := v.Type.(*ast.Ident); ok {
				name = id.Name
			}
			if name != typ || len(v.Values) != 1 {
				continue
			}
			if s, ok := text(v.Values[0]); ok {
				out[s] = v.Names[0].Name
			}
		}
	}
	if len(out) == 0 {
		t.Fatalf("no constants of type %q in %s", typ, file)
	}
	return out
}

func text(e ast.Expr) (string, bool) {
	l, ok := e.(*ast.BasicLit)
	if !ok || l.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(l.Value)
	return s, err == nil
}

// prefixes are all messages whose id is put together, with every value the second part can have.
func prefixes(t testing.TB) map[string][]string {
	words := func(m map[string]string, keep func(name string) bool) []string {
		var out []string
		for v, name := range m {
			if keep == nil || keep(name) {
				out = append(out, key(v))
			}
		}
		return out
	}
	starts := func(p ...string) func(string) bool {
		return func(n string) bool {
			return slices.ContainsFunc(p, func(x string) bool { return strings.HasPrefix(n, x) })
		}
	}
	acks := words(constants(t, "../../session/outing/event.go", "AckKind"), nil)
	reasons := constants(t, "../../conditions/report.go", "")
	searched := constants(t, "../../conditions/windows.go", "")
	// A search of days finds the reasons of a report, but for those that hold for all of it.
	whole := starts("WhyWarningsUnknown", "WhySeaOld", "WhyFoot", "WhyTide", "WhyLight")
	inTheWay := func(n string) bool {
		return !whole(n) && starts("Why", "Over", "Dark", "WalkIn", "Outside", "Longest")(n)
	}
	turns := words(constants(t, "../../conditions/tide/extremes.go", "Kind"), nil)
	paces := words(constants(t, "../../conditions/tide/fortnight.go", "Pace"), nil)
	var days, months []string
	for i := range 7 {
		days = append(days, strconv.Itoa(i))
	}
	for i := range 12 {
		months = append(months, strconv.Itoa(i+1))
	}
	return map[string][]string{
		"wd": days, "mo": months,
		"pack_why_": words(constants(t, "../../session/catch/rules/tree.go", "Why"), nil),
		"acked_":    acks, "ack_ended_": acks, "tried_": acks,
		"sooner_":      words(constants(t, "../../session/outing/pace.go", "Reason"), nil),
		"lack_":        words(constants(t, "../../session/trip/trip.go", "Lack"), nil),
		"item_":        words(constants(t, "../../session/trip/trip.go", ""), nil),
		"verdict_":     words(constants(t, "../../conditions/ledge/verdict.go", "Verdict"), nil),
		"doubt_":       append(words(reasons, starts("Why")), words(searched, starts("WhyLight"))...),
		"off_":         append(words(reasons, inTheWay), words(searched, inTheWay)...),
		"wish_":        words(constants(t, "../../conditions/windows.go", "TideKind"), func(n string) bool { return n != "AnyTide" }),
		"outlook_":     words(constants(t, "../../conditions/windows.go", "Outlook"), nil),
		"limit_":       words(reasons, starts("Over")),
		"note_":        words(reasons, func(n string) bool { return !starts("Why", "Over", "Buoy")(n) }),
		"why_":         append(words(constants(t, "../../conditions/feed/errors.go", "Why"), nil), "the_ledge_has_no_place_at_sea", "gap"),
		"cmd_":         commands(),
		"after_water_": words(constants(t, "../../session/after/after.go", "Water"), nil), "b_after_water_": words(constants(t, "../../session/after/after.go", "Water"), nil),
		"after_wet_": words(constants(t, "../../session/after/after.go", "Wet"), nil), "b_after_wet_": words(constants(t, "../../session/after/after.go", "Wet"), nil),
		"alias_not_": {"long", "taken", "word"}, "import_file_": {"format", "broken", "odd", "system"},
		"b_ring_":      words(constants(t, "../../session/after/ring.go", "Ring"), nil),
		"jacket_":      {"yes", "no", "unknown"},
		"jacket_word_": {"yes", "no", "unknown"},
		"signal_":      {"no", "patchy"},
		"heard_":       heardWords(t),
		"tide_turn_":   turns, "tide_next_": turns,
		"tide_stage_":   words(constants(t, "../../conditions/tide/stage.go", "Motion"), func(n string) bool { return n != "Still" }),
		"tide_springs_": paces, "tide_tropic_": paces,
		"tide_warned_": words(constants(t, "../../conditions/tide/station.go", "Warning"), nil),
		"phase_":       words(constants(t, "../../conditions/sky/phases.go", "Phase"), nil),
		"csv_":         files.Columns,
		"tally_tide_":  words(constants(t, "../../conditions/moment.go", "TideStage"), nil),
		"tally_light_": words(constants(t, "../../conditions/moment.go", "LightStage"), nil),
		"when_q_":      {"which_half", "which_date", "clock_twice", "clock_missing", "which_midnight", "long_span", "far_return", "until_when", "from_when", "what_time", "back_when", "start_or_back", "back_before_end", "already_started", "vague_time", "which_turn", "tide_unknown", "light_unknown", "meet_or_start"},
		"moon_":        words(constants(t, "../../conditions/sky/moonlight.go", "Moonlight"), nil),
	}
}

// heardWords are the signs of life that are noted anywhere, and "place", which outing.Heard documents.
func heardWords(t testing.TB) []string {
	out := []string{"place"}
	for _, file := range sources(t, "..", "../../session/outing") {
		ast.Inspect(parse(t, file), func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				if s, ok := n.Fun.(*ast.SelectorExpr); ok && s.Sel.Name == "signOfLife" && len(n.Args) == 2 {
					if v, ok := text(n.Args[1]); ok {
						out = append(out, v)
					}
				}
			case *ast.CompositeLit:
				if id, ok := n.Type.(*ast.Ident); ok && id.Name == "Heard" {
					for _, e := range n.Elts {
						if kv, ok := e.(*ast.KeyValueExpr); ok && kv.Key.(*ast.Ident).Name == "What" {
							if v, ok := text(kv.Value); ok {
								out = append(out, v)
							}
						}
					}
				}
			case *ast.FuncDecl: // the end of a watch chooses between two words first
				if n.Name.Name == "heard" {
					ast.Inspect(n, func(n ast.Node) bool {
						if v, ok := n.(*ast.AssignStmt); ok && len(v.Rhs) == 1 {
							if s, ok := text(v.Rhs[0]); ok {
								out = append(out, s)
							}
						}
						return true
					})
				}
			}
			return true
		})
	}
	return out
}

// sources are the Go files of folders, tests left out.
func sources(t testing.TB, folders ...string) []string {
	var out []string
	for _, d := range folders {
		fs, err := filepath.Glob(filepath.Join(d, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range fs {
			if !strings.HasSuffix(f, "_test.go") {
				out = append(out, f)
			}
		}
	}
	return out
}

// speaks says at which argument a call names a message, -1 if it does not.
func speaks(c *ast.CallExpr) int {
	name := ""
	switch f := c.Fun.(type) {
	case *ast.SelectorExpr:
		name = f.Sel.Name
		if x, ok := f.X.(*ast.Ident); ok && name == "T" && x.Name == "t" {
			return -1
		}
	case *ast.Ident:
		name = f.Name
	}
	switch name {
	case "T", "plain", "say", "missed":
		if len(c.Args) > 0 {
			if name == "missed" {
				return len(c.Args) - 1
			}
			return 0
		}
	case "tellCrew":
		return 2
	}
	return -1
}

// TestCatalogueFitsTheSource reads every place that names a message: each named message exists and gets every value
// it shows; each message is named somewhere.
func TestCatalogueFitsTheSource(t *testing.T) {
	known := prefixes(t)
	used := map[string]bool{}
	check := func(where, id string, passed map[string]bool, all bool) {
		used[id] = true
		if english[id] == nil {
			t.Errorf("%s: message %q is not in the catalogue", where, id)
			return
		}
		for _, p := range placeholders(id) {
			if !all && !passed[p] {
				t.Errorf("%s: message %q shows %q, which is not passed", where, id, p)
			}
		}
	}
	for _, file := range sources(t, ".", "..", "../console", "../telegram", "../../cmd/ledgehand") {
		for _, d := range parse(t, file).Decls {
			fn := d
			where := filepath.Base(file)
			if f, ok := d.(*ast.FuncDecl); ok {
				where += ": " + f.Name.Name
			}
			// Literals of the function that are ids: what a variable id may be.
			direct := map[ast.Expr]bool{}
			var calls []*ast.CallExpr
			ast.Inspect(fn, func(n ast.Node) bool {
				if c, ok := n.(*ast.CallExpr); ok {
					if i := speaks(c); i >= 0 {
						calls = append(calls, c)
						if _, ok := text(c.Args[i]); ok {
							direct[c.Args[i]] = true
						}
					}
				}
				return true
			})
			variable := false // some call has an id that is worked out before
			for _, c := range calls {
				i := speaks(c)
				switch c.Args[i].(type) {
				case *ast.Ident, *ast.SelectorExpr:
					variable = true
				}
				for j := i + 1; j < len(c.Args); j += 2 {
					direct[c.Args[j]] = true // names of values
				}
			}
			var loose []string
			ast.Inspect(fn, func(n ast.Node) bool {
				if e, ok := n.(ast.Expr); ok && variable && !direct[e] {
					if s, ok := text(e); ok && english[s] != nil {
						loose = append(loose, s)
					}
				}
				return true
			})
			served := map[string]bool{} // loose ids for which some call passes all that they show
			for _, c := range calls {
				i := speaks(c)
				passed := map[string]bool{}
				for j := i + 1; j < len(c.Args); j += 2 {
					if s, ok := text(c.Args[j]); ok {
						passed[s] = true
					}
				}
				all := c.Ellipsis.IsValid()
				switch id := c.Args[i].(type) {
				case *ast.BasicLit:
					s, _ := text(id)
					check(where, s, passed, all)
				case *ast.BinaryExpr:
					p, ok := text(id.X)
					if !ok || known[p] == nil {
						t.Errorf("%s: an id begins with %q, and the test does not know what may follow", where, p)
						continue
					}
					for _, v := range known[p] {
						if p == "doubt_" && slices.Contains([]string{"sea_unknown", "wind_unknown", "warnings_unknown", "sea_old"}, v) {
							continue // said by calls of their own, with more values
						}
						check(where, p+v, passed, all)
					}
				case *ast.Ident, *ast.SelectorExpr:
					for _, s := range loose {
						missing := slices.ContainsFunc(placeholders(s), func(p string) bool { return !passed[p] })
						served[s] = served[s] || all || !missing
					}
				default:
					t.Errorf("%s: a message is named in a way this test cannot read", where)
				}
			}
			for _, s := range loose {
				if used[s] = true; !served[s] {
					t.Errorf("%s: message %q shows %v, which no call there passes all of", where, s, placeholders(s))
				}
			}
		}
	}
	for p, vs := range known { // ids put together into a variable first
		if p == "why_" || p == "heard_" {
			for _, v := range vs {
				check("put together", p+v, nil, false)
			}
		}
	}
	for _, id := range ids() {
		if !used[id] {
			t.Errorf("message %q is used nowhere", id)
		}
	}
}

// The bot never says that it is safe. Each sentence that has the word denies it, or names it as what cannot be said.
func TestSafeIsOnlyDenied(t *testing.T) {
	allowed := []string{
		"no forecast makes a ledge safe.",
		"I never say a ledge is safe.",
		"No forecast makes a ledge safe.",
	}
	for _, id := range ids() {
		for _, form := range english[id] {
			for _, s := range allowed {
				form = strings.ReplaceAll(form, s, "")
			}
			if low := strings.ToLower(form); strings.Contains(low, "safe") {
				t.Errorf("message %q says %q; only %q may say safe", id, form, allowed)
			}
		}
	}
}

// Labels must not be cut on a small phone; the sentences by which somebody binds themselves may be longer.
func TestLabelsAreShort(t *testing.T) {
	for _, id := range ids() {
		if !strings.HasPrefix(id, "b_") || id == "b_accept" || id == "b_wave" {
			continue
		}
		label := words(Metric).T(id, "item", Item(words(Metric)))
		if n := utf8.RuneCountInString(label); n > 30 {
			t.Errorf("label %s = %q has %d characters, want up to 30", id, label, n)
		}
	}
}

// Item is the longest standard thing to bring.
func Item(w Words) string { return w.Item("measure board") }

// Commands' help lines double as the menu of the chat service, 1-256 characters (Telegram Bot API, BotCommand.description).
func TestHelpLinesFitTheMenu(t *testing.T) {
	if len(commands()) < 20 {
		t.Fatalf("commands() = %v, want those of the desk", commands())
	}
	for _, c := range commands() {
		if n := units16(words(Metric).T("cmd_" + c)); n < 1 || n > 256 {
			t.Errorf("help of /%s has %d characters, want 1 to 256", c, n)
		}
	}
}

// Messages name commands that exist.
func TestNamedCommandsExist(t *testing.T) {
	cmd := regexp.MustCompile(`(?:^|[\s(>])/([a-z]+)`)
	for _, id := range ids() {
		for _, form := range english[id] {
			for _, m := range cmd.FindAllStringSubmatch(form, -1) {
				if !slices.Contains(commands(), m[1]) {
					t.Errorf("message %q names /%s, which is no command", id, m[1])
				}
			}
		}
	}
}

func TestCatalogueIsWhatIsEmbedded(t *testing.T) {
	for _, l := range Languages {
		if _, err := os.Stat("messages." + l + ".json"); err != nil {
			t.Errorf("language %q has no catalogue: %v", l, err)
		}
	}
}
