package web

import (
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

func (f *Face) entryRoutes(r router) {
	r.get("/record/entries", f.entries)
	r.get("/record/entries/:entry", f.entry)
	r.get("/record/entries/:entry/proof", f.entryProof)
	r.post("/record/check", f.startCheck)
}

// EntriesPage lists what was found in the ledger.
type EntriesPage struct {
	Page
	Find string
	Rows []api.LedgerRow
}

// entries finds entries by number or by what they are about; a number leads to
// the entry at once.
func (f *Face) entries(c *gin.Context) error {
	pg, err := f.page(c, "Entries", "record")
	if err != nil {
		return err
	}
	p := EntriesPage{Page: pg, Find: strings.TrimSpace(c.Query("find"))}
	if p.Find != "" {
		if p.Rows, err = f.app.LedgerEntries(c.Request.Context(), edge.Caller(c), p.Find); err != nil {
			return err
		}
	} else if _, err := f.app.LedgerEntries(c.Request.Context(), edge.Caller(c), "-1"); err != nil {
		return err // who may not read the ledger is told so
	}
	if len(p.Rows) == 1 {
		return seeOther(c, "/record/entries/%d", p.Rows[0].N)
	}
	return f.render(c, http.StatusOK, "entries", p)
}

// Attribute is one of an entry, with the name that an id in it stands for.
type Attribute struct{ Key, Value, Name string }

// EntryPage shows one entry, as it was recorded, and offers its proof.
type EntryPage struct {
	Page
	View       api.EntryView
	Attributes []Attribute
	Last       int64 // number of the last entry
}

func (f *Face) entry(c *gin.Context) error {
	n, err := strconv.ParseInt(c.Param("entry"), 10, 64)
	if err != nil || n < 0 {
		return &api.Error{Kind: api.NotFound, Message: "There is no such entry of the ledger."}
	}
	pg, err := f.page(c, fmt.Sprintf("Entry %d", n), "record")
	if err != nil {
		return err
	}
	v, err := f.app.LedgerEntry(c.Request.Context(), edge.Caller(c), n)
	if err != nil {
		return noLedger(err)
	}
	p := EntryPage{Page: pg, View: v, Last: v.Size - 1}
	for _, k := range slices.Sorted(maps.Keys(v.Entry.Attributes)) {
		value := v.Entry.Attributes[k]
		p.Attributes = append(p.Attributes, Attribute{k, value, v.Names[value]})
	}
	return f.render(c, http.StatusOK, "entry", p)
}

// entryProof gives the proof of an entry as a file.
func (f *Face) entryProof(c *gin.Context) error {
	p, err := f.app.ProveEntry(c.Request.Context(), edge.Caller(c), c.Param("entry"))
	if err != nil {
		return noLedger(err)
	}
	text, err := p.MarshalText()
	if err != nil {
		return err
	}
	download(c, fmt.Sprintf("entry-%d.tlog-proof", p.Index))
	_, err = c.Writer.Write(text)
	return err
}

// startCheck begins a check of the whole record; the page of the record shows how
// far it has come.
func (f *Face) startCheck(c *gin.Context) error {
	older := []byte(strings.ReplaceAll(c.PostForm("older"), "\r\n", "\n"))
	if strings.TrimSpace(string(older)) == "" {
		older = nil
	}
	_, err := f.app.StartCheck(c.Request.Context(), edge.Caller(c), older)
	if api.KindOf(err) == api.Invalid {
		return f.recordPage(c, edge.Status(api.Invalid), edge.Known(err).Message)
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/record#check")
}
