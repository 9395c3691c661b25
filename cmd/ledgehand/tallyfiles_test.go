package main

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io"
	"slices"
	"strings"
	"testing"
)

// filesIn are the newest files of a chat by how their names end: a table as rows by heading, and what is in an archive.
func filesIn(t *testing.T, s *story, chat int64) (table []map[string]string, archive map[string]string) {
	t.Helper()
	for _, p := range slices.Backward(s.server.Messages(chat)) {
		switch {
		case strings.HasSuffix(p.FileName, ".csv") && table == nil:
			rows, err := csv.NewReader(bytes.NewReader(p.File)).ReadAll()
			must(t, err)
			for _, r := range rows[1:] {
				m := map[string]string{}
				for i, h := range rows[0] {
					m[h] = r[i]
				}
				table = append(table, m)
			}
		case strings.HasSuffix(p.FileName, ".zip") && archive == nil:
			archive = map[string]string{}
			z, err := zip.NewReader(bytes.NewReader(p.File), int64(len(p.File)))
			must(t, err)
			for _, f := range z.File {
				r, err := f.Open()
				must(t, err)
				body, err := io.ReadAll(r)
				must(t, err)
				archive[f.Name] = string(body)
			}
		}
	}
	return table, archive
}

// What goes out of the chat as files: every line that stands and none that was taken back, no place nearer than the grid, a name only of
// who chose it, and none of who is forgotten. The number of somebody stays the same from one export to the next.
func TestExportedCatches(t *testing.T) {
	s := plays(t, all(ready, []any{
		"[Sat 06:00] bram starts",
		"[Sat 06:01] bram> /catch",
		"[Sat 06:02] ana> /out Anvil with Bram back in 3 hours",
		"[Sat 06:30] ana> /catch 2 kelp greenling 31 28 kept 1, 2 rods 3h",
		"[Sat 06:31] bram> /catch lingcod 71 let go",
		"[Sat 06:32] bram> /catch lingcod 99",
		"[Sat 06:33] bram> /undo",
		"[Sat 06:34] bram> /tally name on",
		"[Sat 08:00] ana> /off all",
		"[Sat 08:01] ana> /tally licence CC0",
		"[Sat 08:02] ana> /tally export",
	})...)
	table, archive := filesIn(t, s, storyGroup)
	if len(table) != 2 || len(archive) != 4 {
		var said []string
		for _, p := range s.server.Messages(storyGroup) {
			said = append(said, p.Text)
		}
		t.Fatalf("%d rows and %d files, want 2 and 4:\n%s", len(table), len(archive), strings.Join(said, "\n"))
	}
	anas := table[0]["caught by"]
	if !strings.HasPrefix(anas, "angler ") || table[1]["caught by"] != "Bram" || table[0]["effort (rod-hours)"] != "6" || table[0]["tide, predicted"] == "" || table[0]["light of the hour"] != "dark" ||
		table[0]["latitude, to 0.1 degree"] != "39" || table[1]["let go (number)"] != "1" || table[1]["ledge"] != "Anvil" {
		t.Errorf("the table: %v", table)
	}
	everything := strings.Join([]string{archive["meta.xml"], archive["eml.xml"], archive["event.txt"], archive["occurrence.txt"]}, "\n")
	for _, secret := range []string{"Ana", "Anvil", "38.9", "123.74", "The crew", "[990"} {
		if strings.Contains(everything, secret) {
			t.Errorf("%q is in the archive:\n%s", secret, everything)
		}
	}
	for _, want := range []string{"Bram", anas, "Ophiodon elongatus", "publicdomain/zero", "2026-03-14T06:02:00-07:00/2026-03-14T08:00:00-07:00", ",39,-123.7,EPSG:4326,7100,"} {
		if !strings.Contains(everything, want) {
			t.Errorf("%q is not in the archive:\n%s", want, everything)
		}
	}

	for _, line := range []string{"[Sat 08:10] bram private> /forget", "[Sat 08:10] bram private taps Delete it all", "[Sat 08:12] ana> /tally export"} {
		must(t, s.act(s.instant(line[1:4], line[5:10]), line[12:]))
	}
	table, again := filesIn(t, s, storyGroup)
	if len(table) != 2 || table[0]["caught by"] != anas || table[1]["caught by"] != "" || strings.Contains(again["occurrence.txt"], "Bram") || !strings.Contains(again["occurrence.txt"], "Ophiodon elongatus") {
		t.Errorf("after Bram was forgotten: %v\n%s", table, again["occurrence.txt"])
	}
	if archive["event.txt"] != again["event.txt"] {
		t.Errorf("events changed:\n%s\n%s", archive["event.txt"], again["event.txt"])
	}
}
