package warning

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

func capSeeds(f *testing.F) {
	f.Helper()
	files, err := os.ReadDir(capSamples)
	if err != nil || len(files) == 0 {
		f.Fatalf("samples: %d files, %v", len(files), err)
	}
	for _, e := range files {
		raw, err := os.ReadFile(filepath.Join(capSamples, e.Name()))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	for _, s := range []string{"", "<", "<alert/>", "<rss><channel/></rss>", "<!DOCTYPE a>", "\xef\xbb\xbf<a/>", "<a>&#x110000;</a>"} {
		f.Add([]byte(s))
	}
	f.Add(page(plainHead + "<references>,, a a,b s,i,2026-12-05T10:00:00Z</references><info><area><circle>1,1 1e300</circle><polygon>0,0 1e-300,0 0,1e-300</polygon></area></info>"))
}

// Whatever comes, it is refused or it can be judged: every hazard has a standing and a gravity, nothing is lost, and what
// cannot be placed is not said to be elsewhere.
func FuzzDecodeCAP(f *testing.F) {
	capSeeds(f)
	f.Fuzz(func(t *testing.T, raw []byte) {
		m, err := DecodeCAP(raw)
		if err != nil {
			r, ok := errors.AsType[*Refused](err)
			if !ok || r.Why == "" || len(err.Error()) > 500 || m.Identifier != "" {
				t.Fatalf("DecodeCAP(%q) = %+v, %v, want refused, briefly, and nothing", raw, m, err)
			}
			return
		}
		if m.Identifier == "" || m.Sender == "" || m.Sent.IsZero() || !slices.Contains(statuses, m.Status) || !slices.Contains(types, m.Type) {
			t.Fatalf("DecodeCAP(%q) = %+v: not fit to be judged", raw, m)
		}
		for _, now := range []time.Time{m.Sent, m.Sent.Add(30 * time.Hour)} {
			got := JudgeCAP([]Message{m, m}, at(43, -9), now, []string{"es"}, Geocodes{})
			if len(got) == 0 || len(got) > max(1, len(m.Infos)) {
				t.Fatalf("JudgeCAP(%q) = %d hazards of %d infos", raw, len(got), len(m.Infos))
			}
			for _, j := range got {
				if j.Standing == "" || rank(j.Concern) > 2 || !strings.HasPrefix(j.ID, m.Identifier) {
					t.Fatalf("JudgeCAP(%q) = %+v", raw, j)
				}
				if (m.Status != "Actual" || m.Type == "Cancel") && j.Standing.Shown() {
					t.Fatalf("JudgeCAP(%q) shows %+v", raw, j)
				}
			}
		}
	})
}

// Whatever comes, it is refused or it is an index with a worth, and "none" is only said by one that is fresh and has
// nothing that may be here.
func FuzzDecodeIndex(f *testing.F) {
	capSeeds(f)
	now := ts("2026-12-05T12:00:00Z")
	f.Fuzz(func(t *testing.T, raw []byte) {
		x, err := DecodeIndex(raw)
		if err != nil {
			if r, ok := errors.AsType[*Refused](err); !ok || r.Why == "" || x.Form != "" {
				t.Fatalf("DecodeIndex(%q) = %+v, %v, want refused and nothing", raw, x, err)
			}
			return
		}
		w := x.Judge(nil, at(43, -9), now, nil, Geocodes{})
		if w.State == "none" && (x.Updated.IsZero() || now.Sub(x.Updated).Abs() > IndexOld || len(w.List) > 0) {
			t.Fatalf("Judge(%q) = %+v of an index of %v", raw, w, x.Updated)
		}
		if len(x.Wanted()) > len(x.Entries) {
			t.Fatalf("Wanted(%q) = more than there are", raw)
		}
		for _, j := range x.JudgeEntries(at(43, -9), now, Geocodes{}) {
			if j.Standing.Shown() && w.State == "none" && (j.Covers == nil || *j.Covers) {
				t.Fatalf("Judge(%q) = none, with %+v", raw, j)
			}
		}
	})
}

// Neither what is too large nor what is built to be slow may hold a reader up for long. The limits are counts; this guards
// against work that grows with the square of the input, which would take minutes here.
func TestHostileInputIsCheap(t *testing.T) {
	begin := time.Now()
	for name, raw := range map[string]string{
		"text in many pieces":            "<note>" + strings.Repeat("a<!---->", MaxMessage/32) + "</note>",
		"a polygon of all the corners":   "<info><event>Gale</event><area><polygon>" + strings.Repeat("1,1 2,1 ", MaxMessage/32) + "3,3</polygon></area></info>",
		"infos that may be translations": strings.Repeat("<info><language>en</language><event>x</event><area><polygon>"+strings.Repeat("1,1 2,1 2,2 ", 200)+"</polygon></area></info>", maxInfos),
	} {
		m, err := DecodeCAP(page(plainHead + raw))
		if err != nil {
			t.Errorf("%s: %v, want it read", name, err)
		}
		JudgeCAP([]Message{m}, at(1.5, 1.5), m.Sent, nil, Geocodes{})
	}
	for name, item := range map[string]string{
		"entries of one message":       "<item><cap:identifier>i</cap:identifier><cap:areaDesc>%d</cap:areaDesc></item>",
		"entries at different times":   "<item><cap:identifier>i</cap:identifier><cap:expires>2026-12-05T%02d:%02d:%02dZ</cap:expires></item>",
		"entries with a shape to each": "<item><cap:identifier>i</cap:identifier><cap:polygon>1,1 2,1 2,2.%d</cap:polygon></item>",
	} {
		var b strings.Builder
		b.WriteString(`<rss xmlns:cap="urn:oasis:names:tc:emergency:cap:1.2"><channel>`)
		for i := 0; b.Len() < MaxIndex-200 && i < maxEntries; i++ {
			if strings.Count(item, "%") == 1 {
				fmt.Fprintf(&b, item, i)
			} else {
				fmt.Fprintf(&b, item, i/3600%24, i/60%60, i%60)
			}
		}
		b.WriteString("</channel></rss>")
		x, err := DecodeIndex([]byte(b.String()))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		x.JudgeEntries(at(1.5, 1.5), begin, Geocodes{})
	}
}
