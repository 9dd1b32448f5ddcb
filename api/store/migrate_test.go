package store

import (
	"io/fs"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Each migration is there for both dialects, by the same name.
func TestMigrationsPair(t *testing.T) {
	var names [2][]string
	for i, folder := range []string{"sqlite", "postgres"} {
		files, err := fs.Glob(migrations, "migrations/"+folder+"/*")
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %d migrations, %v", folder, len(files), err)
		}
		for _, f := range files {
			names[i] = append(names[i], f[len("migrations/"+folder):])
		}
	}
	if diff := cmp.Diff(names[0], names[1]); diff != "" {
		t.Errorf("SQLite and PostgreSQL differ:\n%s", diff)
	}
}
