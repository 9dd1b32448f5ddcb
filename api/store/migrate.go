package store

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"

	"github.com/pressly/goose/v3"
)

// migrations holds the tables, one folder for each dialect, with the same
// numbers in both. A migration that was released is never changed.
//
//go:embed migrations
var migrations embed.FS

// migrate brings the tables up to date. Nobody else may migrate at the time. A
// database that has migrations this program does not know is refused: an older
// program could not read what a newer one wrote.
func migrate(ctx context.Context, db *sql.DB, d goose.Dialect, folder string) error {
	files, err := fs.Sub(migrations, "migrations/"+folder)
	if err != nil {
		return fmt.Errorf("find migrations: %w", err)
	}
	p, err := goose.NewProvider(d, db, files, goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return fmt.Errorf("read migrations: %w", err)
	}
	all := p.ListSources()
	known := all[len(all)-1].Version
	there, err := p.GetDBVersion(ctx)
	if err != nil {
		return fmt.Errorf("read the version of the tables: %w", err)
	}
	if there > known {
		return fmt.Errorf("the tables are of version %d and this program knows %d: use the newer program", there, known)
	}
	if _, err := p.Up(ctx); err != nil {
		return fmt.Errorf("bring the tables up to date: %w", err)
	}
	return nil
}
