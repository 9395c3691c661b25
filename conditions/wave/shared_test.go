package wave

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// Where the shared folder the tables come from lies beside this repository, the copies must be true.
func TestTablesAreTrueCopies(t *testing.T) {
	shared := filepath.Join("..", "..", "..", "shared", "data", "waves")
	if _, err := os.Stat(shared); err != nil {
		t.Skip("no shared folder beside the repository: nothing to compare with")
	}
	copies, err := os.ReadDir(tables)
	if err != nil || len(copies) == 0 {
		t.Fatalf("ReadDir(%s) = %d files, %v", tables, len(copies), err)
	}
	for _, c := range copies {
		ours, err := os.ReadFile(filepath.Join(tables, c.Name()))
		if err != nil {
			t.Fatal(err)
		}
		theirs, err := os.ReadFile(filepath.Join(shared, c.Name()))
		if err != nil || !bytes.Equal(ours, theirs) {
			t.Errorf("%s differs from the shared table (%v)", c.Name(), err)
		}
	}
}
