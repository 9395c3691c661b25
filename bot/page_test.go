package bot

import (
	"os"
	"path/filepath"
	"testing"
)

// keepPage compares what people read now with a page of testdata, or rewrites it with -update.
func keepPage(t *testing.T, dir, name, page string) {
	t.Helper()
	file := filepath.Join("..", "testdata", dir, name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(page), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(kept) != page {
		t.Errorf("%s is not what people read now; run with -update and read the difference", file)
	}
}
