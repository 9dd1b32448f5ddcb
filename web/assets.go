package web

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"strings"

	"github.com/gin-gonic/gin"

	"soloright/api"
)

//go:embed templates/*.tmpl
var templateFiles embed.FS

//go:embed static
var staticFiles embed.FS

func embeddedStatic() fs.FS {
	sub, err := fs.Sub(staticFiles, "static")
	if err != nil { // only for an invalid name, which "static" is not
		return staticFiles
	}
	return sub
}

// parsePages parses each page together with the layout and the shared blocks.
func parsePages(f *Face) (map[string]*template.Template, error) {
	names, err := fs.Glob(templateFiles, "templates/*.tmpl")
	if err != nil {
		return nil, fmt.Errorf("list templates: %w", err)
	}
	pages := map[string]*template.Template{}
	for _, file := range names {
		name := strings.TrimSuffix(path.Base(file), ".tmpl")
		if strings.HasPrefix(name, "_") {
			continue
		}
		t, err := template.New(name).Funcs(f.funcs()).ParseFS(templateFiles, "templates/_*.tmpl", file)
		if err != nil {
			return nil, fmt.Errorf("parse page %s: %w", name, err)
		}
		pages[name] = t
	}
	return pages, nil
}

// stampOf is a short digest of all static files.
func stampOf(static fs.FS) (string, error) {
	h := sha256.New()
	err := fs.WalkDir(static, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(static, p)
		h.Write([]byte(p))
		h.Write(b)
		return err
	})
	if err != nil {
		return "", fmt.Errorf("read static files: %w", err)
	}
	return hex.EncodeToString(h.Sum(nil)[:6]), nil
}

// staticFile serves a static file, to be kept as long as its stamp is asked for.
func (f *Face) staticFile(c *gin.Context) error {
	name := strings.TrimPrefix(path.Clean(c.Param("file")), "/")
	info, err := fs.Stat(f.static, name)
	if err != nil || info.IsDir() {
		return &api.Error{Kind: api.NotFound, Message: "There is no such file."}
	}
	keep := "no-cache"
	if c.Query("v") == f.stamp {
		keep = "public, max-age=31536000, immutable"
	}
	c.Header("Cache-Control", keep)
	http.ServeFileFS(c.Writer, c.Request, f.static, name)
	return nil
}
