package main

import (
	"bytes"
	"fmt"
	"os"

	"soloright/api"
	"soloright/content"
	"soloright/web"
)

// writePreviewPage writes the facts and sample items as one page that needs no server.
func writePreviewPage(file string, p *content.Procedure, build string, facts []api.PreviewFact) error {
	var b bytes.Buffer
	if err := web.WritePreview(&b, p, build, facts); err != nil {
		return fmt.Errorf("render the preview: %w", err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		return fmt.Errorf("write the preview: %w", err)
	}
	return nil
}
