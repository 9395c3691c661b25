package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"ledgehand/conditions/checkrows"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"
	"time"
)

// Check values stand in tables: copies in testdata, some of them thinned, and the whole ones where the shared folder
// lies beside the repository. Every table names the source of its values, testdata/README.md sums them up.
var checkTables = map[string][2]string{
	"tide":  {filepath.Join("..", "..", "testdata", "tides"), filepath.Join("..", "..", "..", "shared", "data", "tide", "checks")},
	"sky":   {filepath.Join("..", "..", "testdata", "sky"), filepath.Join("..", "..", "..", "shared", "data", "astro")},
	"waves": {filepath.Join("..", "..", "testdata", "waves"), filepath.Join("..", "..", "..", "shared", "data", "waves")},
}

func byColumn(rs []record, column string) map[string][]record {
	out := map[string][]record{}
	for _, r := range rs {
		out[r[column]] = append(out[r[column]], r)
	}
	return out
}

type object = map[string]any

// asking collects questions; answers gives what calc says to them, in order, through one run.
type asking struct{ lines bytes.Buffer }

func (a *asking) add(t testing.TB, q object) {
	t.Helper()
	b, err := json.Marshal(q)
	if err != nil {
		t.Fatal(err)
	}
	a.lines.Write(append(b, '\n'))
}

func (a *asking) answers(t testing.TB) []object {
	t.Helper()
	n := bytes.Count(a.lines.Bytes(), []byte{'\n'})
	out := calcAnswers(t, &a.lines)
	if len(out) != n {
		t.Fatalf("%d answers to %d questions", len(out), n)
	}
	return out
}

func calcAnswers(t testing.TB, in io.Reader) []object {
	t.Helper()
	var out, errOut bytes.Buffer
	if err := runCalc(context.Background(), nil, in, &out, &errOut); err != nil || errOut.Len() > 0 {
		t.Fatalf("runCalc = %v, %q on stderr, want nil and nothing", err, errOut.String())
	}
	var all []object
	d := json.NewDecoder(&out)
	for d.More() {
		var o object
		if err := d.Decode(&o); err != nil {
			t.Fatalf("answer %d: %v", len(all), err)
		}
		all = append(all, o)
	}
	return all
}

func ask1(t testing.TB, line string) object {
	t.Helper()
	out := calcAnswers(t, strings.NewReader(line+"\n"))
	if len(out) != 1 {
		t.Fatalf("%d answers to %s, want 1", len(out), line)
	}
	return out[0]
}

func numberIn(t testing.TB, o object, key string) float64 {
	t.Helper()
	v, ok := o[key].(float64)
	if !ok {
		t.Fatalf("%q = %v in %v, want a number", key, o[key], o)
	}
	return v
}

func listIn(t testing.TB, o object, key string) []any {
	t.Helper()
	v, ok := o[key].([]any)
	if !ok {
		t.Fatalf("%q = %v in %v, want a list", key, o[key], o)
	}
	return v
}

// instantIn reads an answer's instant, which must be UTC as RFC 3339 writes it.
func instantIn(t testing.TB, o object, key string) time.Time {
	t.Helper()
	s, _ := o[key].(string)
	at, err := time.Parse("2006-01-02T15:04:05Z", s)
	if err != nil {
		t.Fatalf("%q = %v in %v, want UTC in RFC 3339", key, o[key], o)
	}
	return at
}

// misfit keeps the largest difference from a table.
type misfit struct {
	n     int
	worst float64
	where string
}

func (m *misfit) near(t testing.TB, where string, got, want, tol float64) {
	t.Helper()
	m.n++
	if d := math.Abs(got - want); !(d <= m.worst) {
		m.worst, m.where = d, where
	}
	if !(math.Abs(got-want) <= tol*(1+1e-9)+1e-12) {
		t.Errorf("%s = %v, want %v within %v", where, got, want, tol)
	}
}

func (m *misfit) log(t testing.TB, least int, unit string) {
	t.Helper()
	t.Logf("%d values, largest difference %.3g %s at %s", m.n, m.worst, unit, m.where)
	if m.n < least {
		t.Errorf("%d values compared, want at least %d", m.n, least)
	}
}

// Whatever the operation, these are the fields that must be there.
func TestCalcAnswersTheFieldsItPromises(t *testing.T) {
	for _, tt := range []struct {
		line string
		want []string
	}{
		{`{"op":"tide","station":"noaa/9416841","from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z","step_s":3600}`, []string{"station", "datum", "heights", "extremes"}},
		{`{"op":"tide","station":"noaa/9416841","from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z","step_s":3600,"want":["heights"]}`, []string{"station", "datum", "heights"}},
		{`{"op":"tide","constituents":{"M2":[1,0]},"from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z","want":["extremes"]}`, []string{"station", "datum", "extremes"}},
		{`{"op":"tide.near","lat":38.95,"lon":-123.74,"n":3}`, []string{"stations"}},
		{`{"op":"sky","lat":38.95,"lon":-123.74,"date":"2026-03-14","tz":"America/Los_Angeles"}`, []string{"sunrise", "sunset", "civil_dawn", "civil_dusk", "nautical_dawn", "nautical_dusk", "moonrise", "moonset", "sun", "moon_lit"}},
		{`{"op":"sky.at","body":"sun","lat":38.95,"lon":-123.74,"t":"2026-03-14T14:00:00Z"}`, []string{"altitude_deg", "azimuth_deg"}},
		{`{"op":"sky.at","body":"moon","lat":38.95,"lon":-123.74,"t":"2026-03-14T14:00:00Z"}`, []string{"altitude_deg", "azimuth_deg", "lit", "distance_km"}},
		{`{"op":"sky.phases","from":"2026-03-01T00:00:00Z","to":"2026-04-01T00:00:00Z"}`, []string{"phases"}},
		{`{"op":"wave.linear","period_s":12,"depth_m":8}`, []string{"k", "length_m", "celerity_ms", "group_ms", "n", "ks"}},
		{`{"op":"wave.linear","period_s":12,"depth_m":null}`, []string{"k", "length_m", "celerity_ms", "group_ms", "n", "ks"}},
		{`{"op":"wave.max","n":1000}`, []string{"most_probable", "mean", "median", "p90"}},
		{`{"op":"watch","k":0,"minutes":20,"then_minutes":120}`, []string{"p_any", "rate_mean_per_min", "rate_upper95_per_h"}},
		{`{"op":"kappa","k":1,"minutes":20,"hs_m":1.5,"tz_s":8,"rc_m":3}`, []string{"n_waves", "kappa_hat", "kappa_mean", "kappa_median"}},
		{`{"op":"kappa","k":0,"minutes":20,"hs_m":1.5,"tz_s":8,"rc_m":3}`, []string{"n_waves", "kappa_upper95", "kappa_mean", "kappa_median"}},
		{`{"op":"windchill","air_c":-5,"wind_kmh":30}`, []string{"chill_c"}},
		{`{"op":"windchill","air_f":20,"wind_mph":15}`, []string{"chill_f"}},
		{operations()["feed"].example, []string{"status", "why", "hours"}},
	} {
		got := ask1(t, tt.line)
		for _, k := range tt.want {
			if _, ok := got[k]; !ok {
				t.Errorf("%s = %v, want a field %q", tt.line, got, k)
			}
		}
	}
	near, ok := listIn(t, ask1(t, `{"op":"tide.near","lat":38.95,"lon":-123.74,"n":3}`), "stations")[0].(object)
	for _, k := range []string{"id", "name", "distance_km", "type", "datum", "timezone"} {
		if _, has := near[k]; !ok || !has {
			t.Errorf("a near station = %v, want a field %q", near, k)
		}
	}
}

// Every example that -h lists is answered, and -h lists every operation.
func TestCalcHelpListsExamplesThatWork(t *testing.T) {
	var out bytes.Buffer
	if err := runCalc(context.Background(), []string{"-h"}, strings.NewReader(""), &out, io.Discard); err != nil {
		t.Fatal(err)
	}
	_, examples, _ := strings.Cut(out.String(), "\n")
	answers := calcAnswers(t, strings.NewReader(examples))
	if len(answers) != len(operations()) {
		t.Errorf("%d examples for %d operations", len(answers), len(operations()))
	}
	for i, a := range answers {
		if a["error"] != nil {
			t.Errorf("example %d = %v, want an answer", i, a)
		}
	}
	for name := range operations() {
		if !strings.Contains(examples, strconv.Quote(name)) {
			t.Errorf("-h lists no example of %q", name)
		}
	}
	if err := runCalc(context.Background(), []string{"tide"}, strings.NewReader(""), io.Discard, io.Discard); err == nil {
		t.Error("runCalc with an argument = nil, want called wrongly")
	}
}

// Bad input gets an error on its line; the lines after it are answered as if nothing had been.
func TestCalcAnswersBadInputWithAnErrorAndGoesOn(t *testing.T) {
	const good = `{"op":"windchill","air_c":-5,"wind_kmh":30}`
	bad := []string{
		``, `   `, `garbage`, `{`, `{}`, `[]`, `null`, `17`, `"op"`, `{"op":null}`, `{"op":7}`, `{"op":"Tide"}`, `{"op":"nothing"}`, "\x00\x01\xff", `{"op":"tide"} {}`,
		strings.Repeat("[", 20_000), `{"op":"wave.max","n":1e999}`, `{"op":"wave.max","n":"NaN"}`, `{"op":"wave.max","n":NaN}`,
		`{"op":"tide","station":"noaa/9416841"}`,
		`{"op":"tide","from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z"}`,
		`{"op":"tide","station":"nowhere/1","from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z"}`,
		`{"op":"tide","station":"noaa/9416841","from":"2026-03-14T20:00:00Z","to":"2026-03-14T14:00:00Z"}`,
		`{"op":"tide","station":"noaa/9416841","from":"14:00","to":"2026-03-14T20:00:00Z"}`,
		`{"op":"tide","station":"noaa/9416841","from":"2026-03-14T14:00:00","to":"2026-03-14T20:00:00"}`,
		`{"op":"tide","station":"noaa/9416841","from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z","step_s":0}`,
		`{"op":"tide","station":"noaa/9416841","from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z","step_s":-60}`,
		`{"op":"tide","station":"noaa/9416841","from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z","step_s":1e-300}`,
		`{"op":"tide","station":"noaa/9416841","from":"1900-03-14T14:00:00Z","to":"2090-03-14T20:00:00Z","step_s":1}`,
		`{"op":"tide","station":"noaa/9416841","from":"0001-01-01T00:00:00Z","to":"9999-12-31T00:00:00Z"}`,
		`{"op":"tide","station":"noaa/9416841","from":"0001-01-01T00:00:00Z","to":"9999-12-31T00:00:00Z","want":["heights"],"step_s":1e20}`,
		`{"op":"tide","station":"noaa/9416841","from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z","want":["levels"]}`,
		`{"op":"tide","station":"noaa/9416841","from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z","node":"month"}`,
		`{"op":"tide","station":"noaa/9416841","constituents":{"M2":[1,0]},"from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z"}`,
		`{"op":"tide","constituents":{"M2":[1]},"from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z"}`,
		`{"op":"tide","constituents":{"M2":[1,null]},"from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z"}`,
		`{"op":"tide","constituents":{"NOPE":[1,0]},"from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z"}`,
		`{"op":"tide","constituents":{"M2":[1e308,0],"S2":[1e308,0]},"z0_m":1e308,"from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z"}`,
		`{"op":"tide.near","lat":91,"lon":0,"n":1}`, `{"op":"tide.near","lon":0,"n":1}`, `{"op":"tide.near","lat":0,"lon":0,"n":0}`,
		`{"op":"sky","lat":38.95,"lon":-123.74,"date":"2026-02-30","tz":"UTC"}`,
		`{"op":"sky","lat":38.95,"lon":-123.74,"date":"2026-03-14","tz":"Atlantis/Deep"}`,
		`{"op":"sky","lat":38.95,"lon":-123.74,"date":"2026-03-14","tz":"Local"}`,
		`{"op":"sky","lat":38.95,"lon":-123.74,"date":"2026-03-14","tz":"../../etc/passwd"}`,
		`{"op":"sky","lat":38.95,"lon":-123.74,"date":"3026-03-14","tz":"UTC"}`, `{"op":"sky","lat":38.95,"lon":-123.74,"tz":"UTC"}`,
		`{"op":"sky.at","body":"mars","lat":0,"lon":0,"t":"2026-03-14T14:00:00Z"}`, `{"op":"sky.at","body":"sun","lat":0,"lon":0}`,
		`{"op":"sky.phases","from":"2026-03-01T00:00:00Z"}`, `{"op":"sky.phases","from":"2026-03-02T00:00:00Z","to":"2026-03-01T00:00:00Z"}`,
		`{"op":"wave.linear","depth_m":8}`, `{"op":"wave.linear","period_s":0,"depth_m":8}`, `{"op":"wave.linear","period_s":12,"depth_m":-8}`, `{"op":"wave.linear","period_s":12,"depth_m":8,"g":0}`,
		`{"op":"wave.max"}`, `{"op":"wave.max","n":0}`, `{"op":"wave.max","n":-3}`,
		`{"op":"wash"}`, `{"op":"wash","inputs":null}`, `{"op":"wash","inputs":{}}`, `{"op":"wash","inputs":[]}`,
		`{"op":"watch","minutes":20,"then_minutes":120}`, `{"op":"watch","k":0,"then_minutes":120}`, `{"op":"watch","k":0,"minutes":20}`,
		`{"op":"watch","k":0,"minutes":0,"then_minutes":120}`, `{"op":"watch","k":-1,"minutes":20,"then_minutes":120}`, `{"op":"watch","k":null,"minutes":20,"then_minutes":120}`,
		`{"op":"kappa","minutes":20,"hs_m":1.5,"tz_s":8,"rc_m":3}`, `{"op":"kappa","k":1,"minutes":20,"hs_m":1.5,"tz_s":8}`, `{"op":"kappa","k":1,"minutes":20,"hs_m":0,"tz_s":8,"rc_m":3}`,
		`{"op":"windchill"}`, `{"op":"windchill","air_c":-5}`, `{"op":"windchill","air_c":25,"wind_kmh":30}`, `{"op":"windchill","air_c":-5,"wind_mph":30}`,
		// Known or not, an operation without anything to work on is an error.
		`{"op":"when"}`, `{"op":"catch"}`, `{"op":"weight"}`, `{"op":"feed"}`,
	}
	for _, cut := range []string{"height_m", "faces", "open_sector", "foot_depth_below_datum_m", "cot_alpha", "kind", "Hs", "Tp", "dir_from", "water_level_m", "step_min", "partitions", "ledge"} {
		bad = append(bad, strings.Replace(operations()["wash"].example, strconv.Quote(cut), `"left_out"`, 1))
	}
	for _, change := range [][2]string{{`[1.2,1.4]`, `[1.2,null]`}, {`[200,340]`, `[200]`}, {`[200,340]`, `[200,340,10]`}, {`"Hs":1.8`, `"Hs":0`}, {`"Hs":1.8`, `"Hs":1e300`}, {`"step_min":60`, `"step_min":-1`}, {`"kind":"swell"`, `"kind":"ripple"`}} {
		bad = append(bad, strings.Replace(operations()["wash"].example, change[0], change[1], 1))
	}
	for _, end := range []string{"\n", "\r\n"} {
		var in strings.Builder
		for _, b := range bad {
			in.WriteString(b + end + good + end)
		}
		answers := calcAnswers(t, strings.NewReader(in.String()))
		if len(answers) != 2*len(bad) {
			t.Fatalf("%d answers, want %d", len(answers), 2*len(bad))
		}
		for i, b := range bad {
			if e, _ := answers[2*i]["error"].(string); e == "" || len(answers[2*i]) != 1 {
				t.Errorf("%.120q = %v, want an error alone", b, answers[2*i])
			}
			if answers[2*i+1]["chill_c"] == nil {
				t.Errorf("the line after %.120q = %v, want its answer", b, answers[2*i+1])
			}
		}
	}
}

func TestCalcTakesLinesAsTheyCome(t *testing.T) {
	const good = `{"op":"windchill","air_c":-5,"wind_kmh":30}`
	for name, tt := range map[string]struct {
		in   string
		want int
	}{
		"Nothing": {"", 0}, "NoNewlineAtTheEnd": {good + "\n" + good, 2}, "CarriageReturns": {good + "\r\n" + good + "\r\n", 2},
		"SpaceAround": {"  " + good + " \t\n", 1}, "ExtraFields": {`{"op":"windchill","air_c":-5,"wind_kmh":30,"for":"Anvil"}`, 1},
	} {
		t.Run(name, func(t *testing.T) {
			for _, r := range []io.Reader{strings.NewReader(tt.in), iotest.OneByteReader(strings.NewReader(tt.in)), iotest.DataErrReader(strings.NewReader(tt.in))} {
				got := calcAnswers(t, r)
				if len(got) != tt.want {
					t.Errorf("%q has %d answers, want %d", tt.in, len(got), tt.want)
				}
				for _, a := range got {
					if a["error"] != nil {
						t.Errorf("%q = %v, want an answer", tt.in, a)
					}
				}
			}
		})
	}
}

func TestCalcAnswersLongLines(t *testing.T) {
	const good = `{"op":"windchill","air_c":-5,"wind_kmh":30}`
	megabyte := `{"op":"windchill","air_c":-5,"wind_kmh":30,"note":"` + strings.Repeat("x", 1<<20) + `"}`
	tooLong := `{"op":"windchill","note":"` + strings.Repeat("x", longestLine) + `"}`
	got := calcAnswers(t, strings.NewReader(strings.Join([]string{good, megabyte, tooLong, good, tooLong}, "\n")))
	if len(got) != 5 {
		t.Fatalf("%d answers, want 5", len(got))
	}
	for i, wantError := range []bool{false, false, true, false, true} {
		if (got[i]["error"] != nil) != wantError {
			t.Errorf("answer %d = %v, want an error: %v", i, got[i], wantError)
		}
	}
}

func TestCalcKeepsTheOrderOfThousandsOfLines(t *testing.T) {
	var in asking
	const n = 5000
	for i := range n {
		if i%7 == 3 {
			in.lines.WriteString("out of turn\n")
			continue
		}
		in.add(t, object{"op": "watch", "k": i, "minutes": 20, "then_minutes": 120})
	}
	for i, a := range in.answers(t) {
		if i%7 == 3 {
			if a["error"] == nil {
				t.Fatalf("answer %d = %v, want an error", i, a)
			}
			continue
		}
		if got, want := numberIn(t, a, "rate_mean_per_min"), (float64(i)+0.5)/20; math.Abs(got-want) > 1e-9*want {
			t.Fatalf("answer %d = %v, want the one of k = %d, %v", i, got, i, want)
		}
	}
}

// Somebody who waits for each answer gets it before asking the next.
func TestCalcAnswersAtOnce(t *testing.T) {
	in, ask := io.Pipe()
	hear, out := io.Pipe()
	done := make(chan error, 1)
	go func() { done <- runCalc(context.Background(), nil, in, out, io.Discard); _ = out.Close() }()
	d := json.NewDecoder(hear)
	for i := range 3 {
		if _, err := fmt.Fprintf(ask, `{"op":"wave.max","n":%d}`+"\n", 100+i); err != nil {
			t.Fatal(err)
		}
		var o object
		if err := d.Decode(&o); err != nil || o["mean"] == nil {
			t.Fatalf("answer %d = %v, %v", i, o, err)
		}
	}
	_ = ask.Close()
	if err := <-done; err != nil {
		t.Errorf("runCalc = %v, want nil", err)
	}
}

func TestCalcSaysWhenItsAnswersAreNotTaken(t *testing.T) {
	in, out := io.Pipe()
	_ = in.Close()
	if err := runCalc(context.Background(), nil, strings.NewReader(`{"op":"wave.max","n":9}`), out, io.Discard); err == nil {
		t.Error("runCalc into a closed pipe = nil, want an error")
	}
	if err := runCalc(context.Background(), nil, iotest.ErrReader(io.ErrUnexpectedEOF), io.Discard, io.Discard); err == nil {
		t.Error("runCalc of a broken input = nil, want an error")
	}
}

// Instants may come with any offset; the answer is the same, in UTC.
func TestCalcTakesInstantsWithAnyOffset(t *testing.T) {
	var want string
	for _, span := range [][2]string{
		{"2026-03-14T14:00:00Z", "2026-03-15T14:00:00Z"}, {"2026-03-14T07:00:00-07:00", "2026-03-15T07:00:00-07:00"},
		{"2026-03-14T19:45:00+05:45", "2026-03-15T04:00:00-10:00"}, {"2026-03-14T14:00Z", "2026-03-15T14:00:00.000Z"},
	} {
		var out bytes.Buffer
		line := fmt.Sprintf(`{"op":"tide","station":"noaa/9416841","from":%q,"to":%q}`, span[0], span[1])
		if err := runCalc(context.Background(), nil, strings.NewReader(line), &out, io.Discard); err != nil {
			t.Fatal(err)
		}
		if want == "" {
			want = out.String()
		}
		if out.String() != want || strings.Contains(want, "error") {
			t.Errorf("%s = %s, want %s", line, out.String(), want)
		}
	}
	for _, e := range listIn(t, ask1(t, `{"op":"tide","station":"noaa/9416841","from":"2026-03-14T07:00:00-07:00","to":"2026-03-15T07:00:00-07:00"}`), "extremes") {
		instantIn(t, e.(object), "t")
	}
}

func TestCalcTideStepsBeyondTheEndLeaveTheStart(t *testing.T) {
	for step, want := range map[string]int{"1e30": 1, "1e9": 1, "21601": 1, "21600": 2, "7200": 4, "0.5": 43201} {
		a := ask1(t, `{"op":"tide","station":"noaa/9416841","from":"2026-03-14T14:00:00Z","to":"2026-03-14T20:00:00Z","want":["heights"],"step_s":`+step+`}`)
		if got := len(listIn(t, a, "heights")); got != want {
			t.Errorf("step of %s s: %d heights, want %d", step, got, want)
		}
	}
}

// Whatever a line holds, it gets one line of JSON, an object, and nothing falls over.
func FuzzCalcLine(f *testing.F) {
	ops := operations()
	for _, op := range ops {
		f.Add([]byte(op.example))
	}
	f.Fuzz(func(t *testing.T, line []byte) {
		got := calcLine(ops, bytes.TrimSpace(line))
		var o object
		if err := json.Unmarshal(got, &o); err != nil || o == nil || bytes.ContainsAny(got, "\n\r") {
			t.Errorf("calcLine(%q) = %q, %v, want one JSON object", line, got, err)
		}
		if e, _ := o["error"].(string); strings.Contains(e, "failed:") {
			t.Errorf("calcLine(%q) = %q, want no panic", line, got)
		}
	})
}

// One process answers thousands of lines: what a line costs, of each kind.
func BenchmarkCalc(b *testing.B) {
	for name, op := range operations() {
		b.Run(name, func(b *testing.B) {
			const lines = 100
			in := strings.Repeat(op.example+"\n", lines)
			b.ReportAllocs()
			for b.Loop() {
				if err := runCalc(context.Background(), nil, strings.NewReader(in), io.Discard, io.Discard); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.N)*lines/b.Elapsed().Seconds(), "lines/s")
		})
	}
}

// overChecks runs a check on the copies, and on the whole tables if they are at hand.
func overChecks(t *testing.T, subject string, check func(t *testing.T, dir string)) {
	dirs := checkTables[subject]
	checkrows.Over(t, dirs[0], dirs[1], check)
}

type record = checkrows.Row

func checkTable(t testing.TB, dir, name string) []record {
	t.Helper()
	return checkrows.Read(t, filepath.Join(dir, name))
}
