package v1

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/scoring/clearance"
	"soloright/scoring/rebuild"
)

// Rebuild is an observed rebuild without its sheet.
type Rebuild struct {
	ID         string     `json:"id"`
	Technician string     `json:"technician"`
	Assessor   string     `json:"assessor"`
	Procedure  string     `json:"procedure"`
	Revision   string     `json:"revision"`
	Build      string     `json:"build,omitempty"`
	Holds      []string   `json:"holds"` // of a partial one: the hold points to be observed again; else empty
	Open       bool       `json:"open"`
	Opened     time.Time  `json:"opened"`
	Started    *time.Time `json:"started,omitempty"` // as stated
	Ended      *time.Time `json:"ended,omitempty"`
	Finished   *time.Time `json:"finished,omitempty"`
	Fault      string     `json:"fault,omitempty"` // why a finished sheet does not count
	Performed  *time.Time `json:"performed,omitempty"`
	Observed   *time.Time `json:"observed,omitempty"`
	Approved   *time.Time `json:"approved,omitempty"`
	Voided     *time.Time `json:"voided,omitempty"`
	Reason     string     `json:"reason,omitempty"` // why it was struck out
	Waits      string     `json:"waits_for,omitempty"`
}

func rebuildOf(f api.FinishedRebuild) Rebuild {
	out := Rebuild{ID: f.ID, Technician: f.Technician, Assessor: f.Assessor, Procedure: f.Procedure, Revision: f.Revision, Build: f.Build, Holds: f.Holds,
		Open: f.Finished.IsZero(), Opened: f.Opened, Fault: f.Fault, Reason: f.Reason}
	if out.Holds == nil {
		out.Holds = []string{}
	}
	for t, to := range map[*time.Time]**time.Time{&f.Started: &out.Started, &f.Ended: &out.Ended, &f.Finished: &out.Finished, &f.Performed: &out.Performed,
		&f.Observed: &out.Observed, &f.Approved: &out.Approved, &f.Voided: &out.Voided} {
		if !t.IsZero() {
			*to = t
		}
	}
	return out
}

// Rebuilds are the open ones, the oldest first, and the finished ones, the last one first.
type Rebuilds struct {
	Open     []Rebuild `json:"open"`
	Finished []Rebuild `json:"finished"`
}

func (f *face) rebuilds(c *gin.Context) error {
	of := c.Query("of")
	if of != "" && of != "all" {
		return &api.Error{Kind: api.Invalid, Message: "Ask for all, or for your own without a word.", Fields: []api.FieldError{{Field: "of", Message: "must be all, or left out"}}}
	}
	all, err := f.app.Rebuilds(c.Request.Context(), edge.Caller(c), of == "all")
	if err != nil {
		return err
	}
	out := Rebuilds{Open: []Rebuild{}, Finished: []Rebuild{}}
	for _, l := range all.Open {
		out.Open = append(out.Open, rebuildOf(l.FinishedRebuild))
	}
	for _, l := range all.Finished {
		r := rebuildOf(l.FinishedRebuild)
		r.Waits = l.Waits
		out.Finished = append(out.Finished, r)
	}
	return send(c, http.StatusOK, out)
}

// Observable is somebody whom one could observe.
type Observable struct {
	Technician Person `json:"technician"`
	Procedure  string `json:"procedure"`
	Revision   string `json:"revision"`
	Partial    bool   `json:"partial"`
}

// Observables are those whom one could observe now.
type Observables struct {
	Observables []Observable `json:"observables"`
}

func (f *face) observables(c *gin.Context) error {
	all, err := f.app.Observables(c.Request.Context(), edge.Caller(c))
	if err != nil {
		return err
	}
	out := Observables{Observables: []Observable{}}
	for _, o := range all {
		out.Observables = append(out.Observables, Observable{personOf(o.Technician), o.Procedure.ID, o.Procedure.Revision, o.Partial})
	}
	return send(c, http.StatusOK, out)
}

func (f *face) beginRebuild(c *gin.Context) error {
	var cmd api.BeginRebuild
	if err := decode(c, &cmd); err != nil {
		return err
	}
	o, err := f.app.BeginRebuild(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	c.Header("Location", Prefix+"/rebuilds/"+o.ID)
	return send(c, http.StatusCreated, rebuildOf(api.FinishedRebuild{OpenRebuild: o}))
}

// KeptEntry is what is kept at one place of an open sheet.
type KeptEntry struct {
	Place    string        `json:"place"`
	Revision int64         `json:"revision"` // the client's; 0 where nothing is kept
	KeptAt   *time.Time    `json:"kept_at,omitempty"`
	Entry    rebuild.Entry `json:"entry"`
}

// Signature is a signature as it was given.
type Signature struct {
	Meaning clearance.Meaning `json:"meaning"`
	Signer  string            `json:"signer"`
	Name    string            `json:"name"` // as printed when it was given
	Role    string            `json:"role"`
	At      time.Time         `json:"at"`
	Digest  string            `json:"digest"` // of exactly what was shown
}

func signatureOf(s api.Signature) Signature {
	return Signature{s.Meaning, s.Signer, s.Name, string(s.Role), s.At, s.Covers.Digest}
}

// RebuildView is a rebuild with its sheet. Digest is the SHA-256 of Text, which is
// what is signed.
type RebuildView struct {
	Rebuild    Rebuild             `json:"rebuild"`
	Sheet      rebuild.Record      `json:"sheet"`
	Text       string              `json:"text"`
	Digest     string              `json:"digest"`
	Entries    []KeptEntry         `json:"entries"` // of an open sheet, every place in the order of the work
	Writes     bool                `json:"writes"`  // you write on it
	Signatures []Signature         `json:"signatures"`
	MaySign    []clearance.Meaning `json:"may_sign"` // what you may sign now
	Now        time.Time           `json:"now"`      // when this was shown
}

func (f *face) rebuild(c *gin.Context) error {
	v, err := f.app.Rebuild(c.Request.Context(), edge.Caller(c), c.Param("rebuild"))
	if err != nil {
		return err
	}
	out := RebuildView{Rebuild: rebuildOf(v.Rebuild), Sheet: v.Record, Text: v.Text, Digest: v.Digest, Entries: []KeptEntry{}, Writes: v.Writes,
		Signatures: []Signature{}, MaySign: append([]clearance.Meaning{}, v.Mine...), Now: v.Now}
	if v.Open {
		for _, place := range v.Plan.Places() {
			k := KeptEntry{Place: place, Revision: v.Revisions[place], Entry: v.Entries[place].Entry}
			if at := v.Entries[place].At; !at.IsZero() {
				k.KeptAt = &at
			}
			out.Entries = append(out.Entries, k)
		}
	}
	for _, s := range v.Signatures {
		out.Signatures = append(out.Signatures, signatureOf(s))
	}
	return send(c, http.StatusOK, out)
}

// KeptPlace is the acknowledgement of a saved entry: what is kept now is durable.
type KeptPlace struct {
	Place    string    `json:"place"`
	Revision int64     `json:"revision"`
	Applied  bool      `json:"applied"`
	Same     bool      `json:"same"` // what is kept is what you sent
	KeptAt   time.Time `json:"kept_at"`
	Found    string    `json:"found,omitempty"` // in words, as it will stand on the sheet
	Fault    string    `json:"fault,omitempty"` // what of it is not good
}

func (f *face) saveEntry(c *gin.Context) error {
	var cmd api.SaveEntry
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Rebuild, cmd.Place = c.Param("rebuild"), c.Param("place")
	k, err := f.app.SaveEntry(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, KeptPlace{k.Place, k.Revision, k.Applied, k.Same, k.At, k.Line.Found, k.Line.Fault})
}

func (f *face) finishRebuild(c *gin.Context) error {
	var cmd api.FinishRebuild
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Rebuild = c.Param("rebuild")
	done, err := f.app.FinishRebuild(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, rebuildOf(done))
}

func (f *face) abandonRebuild(c *gin.Context) error {
	var cmd api.AbandonRebuild
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Rebuild = c.Param("rebuild")
	if err := f.app.AbandonRebuild(c.Request.Context(), edge.Caller(c), cmd); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

func (f *face) signRebuild(c *gin.Context) error {
	var cmd api.SignRebuild
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Rebuild = c.Param("rebuild")
	s, err := f.app.SignRebuild(c.Request.Context(), edge.Caller(c), cmd)
	if err != nil {
		return err
	}
	return send(c, http.StatusCreated, signatureOf(s))
}

func (f *face) voidRebuild(c *gin.Context) error {
	var cmd api.VoidRebuildCommand
	if err := decode(c, &cmd); err != nil {
		return err
	}
	cmd.Rebuild = c.Param("rebuild")
	if err := f.app.VoidRebuild(c.Request.Context(), edge.Caller(c), cmd); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}
