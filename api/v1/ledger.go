package v1

import (
	"encoding"
	"errors"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/scoring/ledger"
)

// noLedger says that nothing is on the record yet.
func noLedger(err error) error {
	if errors.Is(err, api.ErrNoLedger) {
		return &api.Error{Kind: api.NotFound, Message: "Nothing is on the record yet.", Err: err}
	}
	return err
}

// sendText answers with a text of the ledger's own.
func sendText(c *gin.Context, text []byte) error {
	c.Data(http.StatusOK, plainText+"; charset=utf-8", text)
	return nil
}

func sendMarshaled(c *gin.Context, m encoding.TextMarshaler) error {
	text, err := m.MarshalText()
	if err != nil {
		return err
	}
	return sendText(c, text)
}

func (f *face) checkpoint(c *gin.Context) error {
	at, err := f.app.Checkpoint(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return noLedger(err)
	}
	return sendText(c, at.Text)
}

// LedgerKey is a public key and the size of the ledger from which on it signed.
type LedgerKey struct {
	Verifier string `json:"verifier"` // C2SP signed-note
	From     int64  `json:"from"`
}

// LedgerKeys are the keys in the order in which they signed.
type LedgerKeys struct {
	Keys []LedgerKey `json:"keys"`
}

func (f *face) ledgerKeys(c *gin.Context) error {
	keys, err := f.app.LedgerKeys(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return noLedger(err)
	}
	out := LedgerKeys{Keys: []LedgerKey{}}
	for _, k := range keys {
		out.Keys = append(out.Keys, LedgerKey{k.Verifier, k.From})
	}
	return send(c, http.StatusOK, out)
}

// exportLedger streams the record. What goes wrong after the first bytes leaves
// the file cut short, which its checking finds.
func (f *face) exportLedger(c *gin.Context) error {
	ctx, who := c.Request.Context(), edge.Caller(c)
	if _, err := f.app.Checkpoint(ctx, who); err != nil {
		return noLedger(err)
	}
	c.Header("Content-Type", plainText+"; charset=utf-8")
	c.Status(http.StatusOK)
	_, err := f.app.ExportLedger(ctx, who, c.Writer, func(_, _ int64) {})
	return err
}

func (f *face) growth(c *gin.Context) error {
	from, err := strconv.ParseInt(c.Query("from"), 10, 64)
	if err != nil || from < 1 {
		return badQuery("from", "must be the size of an older checkpoint, a whole number from 1 on")
	}
	g, err := f.app.ProveGrowthFrom(c.Request.Context(), edge.Caller(c), from)
	if err != nil {
		return noLedger(err)
	}
	return sendMarshaled(c, g)
}

// LedgerEntry is one entry of the ledger.
type LedgerEntry struct {
	N     int64             `json:"n"` // counted from 0
	Kind  string            `json:"kind"`
	ID    string            `json:"id"`
	At    time.Time         `json:"at"`
	Attrs map[string]string `json:"attributes"`
	Text  string            `json:"text"` // as it was recorded
}

// LedgerEntries are entries, the newest first.
type LedgerEntries struct {
	Entries []LedgerEntry `json:"entries"`
}

func (f *face) ledgerEntries(c *gin.Context) error {
	about := c.Query("about")
	if about == "" {
		return badQuery("about", "is missing: give the number of an entry, or an id")
	}
	rows, err := f.app.LedgerEntries(c.Request.Context(), edge.Caller(c), about)
	if err != nil {
		return err
	}
	out := LedgerEntries{Entries: []LedgerEntry{}}
	for _, r := range rows {
		e := LedgerEntry{N: r.N, Kind: string(r.Kind), ID: r.Subject, At: r.At, Attrs: map[string]string{}, Text: string(r.Text)}
		if p, err := ledger.Parse(r.Text); err == nil { // one that cannot be read shows as it is
			e.Attrs = p.Attributes
		}
		out.Entries = append(out.Entries, e)
	}
	return send(c, http.StatusOK, out)
}

func (f *face) proveEntry(c *gin.Context) error {
	p, err := f.app.ProveEntry(c.Request.Context(), edge.Caller(c), c.Param("entry"))
	if err != nil {
		return noLedger(err)
	}
	return sendMarshaled(c, p)
}

// CheckCommand begins a check of the record.
type CheckCommand struct {
	Older string `json:"older,omitempty"` // a checkpoint kept elsewhere
}

// RecordCheck is a check of the whole record, as far as it has come.
type RecordCheck struct {
	ID      string     `json:"id"`
	By      string     `json:"by"` // name
	Begun   time.Time  `json:"begun"`
	Ended   *time.Time `json:"ended,omitempty"`
	Runs    bool       `json:"runs"`
	Part    string     `json:"part"` // what is being read
	Done    int64      `json:"done"`
	Total   *int64     `json:"total,omitempty"` // where it is known
	Sound   bool       `json:"sound"`           // ended, and everything agrees
	Broke   string     `json:"broke,omitempty"` // why it did not come to its end
	Older   int64      `json:"older,omitempty"` // entries of the kept checkpoint that it was held against
	Entries int64      `json:"entries"`
	Records int64      `json:"records"`
	Wrong   int64      `json:"disagreements"`
	Found   []string   `json:"found"` // the first of them
}

func checkOf(v api.RecordCheckView) RecordCheck {
	out := RecordCheck{ID: v.ID, By: v.By, Begun: v.Begun, Runs: v.Runs, Part: v.Part, Done: v.Done, Sound: v.Sound(), Broke: v.Broke, Older: v.Older,
		Entries: v.Entries, Records: v.Records, Wrong: v.Disagree, Found: v.Found}
	if !v.Ended.IsZero() {
		out.Ended = &v.Ended
	}
	if v.Total >= 0 {
		out.Total = &v.Total
	}
	return out
}

func (f *face) startCheck(c *gin.Context) error {
	var cmd CheckCommand
	if err := decode(c, &cmd); err != nil {
		return err
	}
	v, err := f.app.StartCheck(c.Request.Context(), edge.Caller(c), []byte(cmd.Older))
	if err != nil {
		return err
	}
	return send(c, http.StatusAccepted, checkOf(v))
}

func (f *face) lastCheck(c *gin.Context) error {
	v, there, err := f.app.LastCheck(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	if !there {
		return &api.Error{Kind: api.NotFound, Message: "The record was not checked from here yet."}
	}
	return send(c, http.StatusOK, checkOf(v))
}
