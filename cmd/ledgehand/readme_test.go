package main

import (
	"bytes"
	"flag"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ledgehand/bot/bottest"
)

var update = flag.Bool("update", false, "write anew what the README shows and the table of faults")

// The chat in the README is the demo's: every line of it was said there, and the picture is the one sent there.
func TestReadme(t *testing.T) {
	d, err := newDemo(t.Context(), io.Discard, t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = d.close() }()
	if err := d.play(t.Context()); err != nil {
		t.Fatal(err)
	}
	var said strings.Builder
	var picture []byte
	for _, e := range d.server.Transcript() {
		switch {
		case e.What == bottest.Wrote:
			said.WriteString(e.Who + ": ")
		case e.What == bottest.Tapped:
			said.WriteString(e.Who + " taps ")
		}
		said.WriteString(e.Text + "\n")
		if picture == nil {
			picture = e.Picture
		}
	}
	all := squeeze(said.String())

	root := filepath.Join("..", "..")
	file := filepath.Join(root, "testdata", "pictures", "anvil.png")
	if *update {
		if err := os.WriteFile(file, picture, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	shown, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	a, err := png.Decode(bytes.NewReader(shown))
	if err != nil {
		t.Fatal(err)
	}
	b, err := png.Decode(bytes.NewReader(picture))
	if err != nil {
		t.Fatal(err)
	}
	// Not byte for byte: other processors round the last bit of a curve otherwise. Size and nearly all pixels are.
	differ := 0
	if a.Bounds() == b.Bounds() {
		for y := range a.Bounds().Dy() {
			for x := range a.Bounds().Dx() {
				if a.At(x, y) != b.At(x, y) {
					differ++
				}
			}
		}
	}
	if a.Bounds() != b.Bounds() || differ > a.Bounds().Dx()*a.Bounds().Dy()/200 {
		t.Errorf("testdata/pictures/anvil.png is not what the demo sends (%d pixels differ): run with -update and look at it", differ)
	}

	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	quoted := 0
	for l := range strings.Lines(string(readme)) {
		l, ok := strings.CutPrefix(strings.TrimSpace(l), "> ")
		if !ok || strings.HasPrefix(l, "_") {
			continue
		}
		quoted++
		if l = squeeze(strings.NewReplacer("**", "", "`", "").Replace(l)); !strings.Contains(all, l) {
			t.Errorf("README quotes %q, which the demo does not say", l)
		}
	}
	if quoted < 10 {
		t.Errorf("README quotes %d lines of the demo, want a real chat", quoted)
	}
	for _, want := range []string{"go run ./cmd/ledgehand demo", "go test ./...", "testdata/pictures/anvil.png"} {
		if !strings.Contains(string(readme), want) {
			t.Errorf("README lacks %q", want)
		}
	}
}

func squeeze(s string) string { return strings.Join(strings.Fields(s), " ") }
