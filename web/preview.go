package web

import (
	"fmt"
	"html/template"
	"io"
	"io/fs"

	"soloright/api"
	"soloright/content"
)

// LoosePreview is the page of facts and sample items that stands alone in a file.
type LoosePreview struct {
	Procedure *content.Procedure
	Build     string
	Facts     []FactLines
	Style     template.CSS
}

// WritePreview writes a page with every fact, its sample items and their keys,
// with its styles inside, for a trainer to open from a file.
func WritePreview(w io.Writer, p *content.Procedure, build string, facts []api.PreviewFact) error {
	f := &Face{}
	pages, err := parsePages(f)
	if err != nil {
		return err
	}
	css, err := fs.ReadFile(embeddedStatic(), "sheet.css")
	if err != nil {
		return fmt.Errorf("read the styles: %w", err)
	}
	page := LoosePreview{Procedure: p, Build: build, Facts: factLines(facts), Style: template.CSS(css)} // ours, not a visitor's
	return pages["preview"].ExecuteTemplate(w, "preview", page)
}
