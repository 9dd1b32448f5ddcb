package web

import (
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/scoring/ledger"
)

// RecordPage shows a safety officer the signed head of the ledger, and makes
// keeping it elsewhere easy.
type RecordPage struct {
	Page
	Checkpoint ledger.Checkpoint // Size 0: nothing is on the record yet
	Now        time.Time
	Check      *api.RecordCheckView // the one begun last; nil: none yet
	Message    string
	Older      string // as it was sent, where it was refused
}

// Running reports whether a check runs now.
func (p RecordPage) Running() bool { return p.Check != nil && p.Check.Runs }

func (f *Face) record(c *gin.Context) error { return f.recordPage(c, http.StatusOK, "") }

func (f *Face) recordPage(c *gin.Context, status int, message string) error {
	pg, err := f.page(c, "The record", "record")
	if err != nil {
		return err
	}
	at, err := f.app.Checkpoint(c.Request.Context(), edge.Caller(c))
	if err != nil && !errors.Is(err, api.ErrNoLedger) {
		return err
	}
	p := RecordPage{Page: pg, Checkpoint: at, Now: f.clock(), Message: message, Older: c.PostForm("older")}
	check, there, err := f.app.LastCheck(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	if there {
		p.Check = &check
	}
	return f.render(c, status, "record", p)
}

func (f *Face) recordCheckpoint(c *gin.Context) error {
	at, err := f.app.Checkpoint(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return noLedger(err)
	}
	download(c, fmt.Sprintf("%s-%d.checkpoint", fileName(at.Origin), at.Size))
	_, err = c.Writer.Write(at.Text)
	return err
}

func (f *Face) recordKeys(c *gin.Context) error {
	keys, err := f.app.LedgerKeys(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return noLedger(err)
	}
	download(c, "record.keys")
	for _, k := range keys {
		if _, err := fmt.Fprintln(c.Writer, k.Verifier); err != nil {
			return err
		}
	}
	return nil
}

// recordExport streams the whole record. What goes wrong after the first bytes
// leaves the file cut short, which its checking finds.
func (f *Face) recordExport(c *gin.Context) error {
	at, err := f.app.Checkpoint(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return noLedger(err)
	}
	download(c, fmt.Sprintf("%s-%d.export", fileName(at.Origin), at.Size))
	_, err = f.app.ExportLedger(c.Request.Context(), edge.Caller(c), c.Writer, func(_, _ int64) {})
	return err
}

func noLedger(err error) error {
	if errors.Is(err, api.ErrNoLedger) {
		return &api.Error{Kind: api.NotFound, Message: "Nothing is on the record yet.", Err: err}
	}
	return err
}

// download says that a text is a file to keep.
func download(c *gin.Context, name string) {
	c.Header("Content-Type", "text/plain; charset=utf-8")
	c.Header("Content-Disposition", `attachment; filename="`+name+`"`)
	c.Status(http.StatusOK)
}

// fileName makes a ledger's name fit for a file's.
func fileName(origin string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '.' || r == '-' {
			return r
		}
		return '-'
	}, origin)
}
