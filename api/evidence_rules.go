package api

import (
	"cmp"
	"encoding/hex"
	"errors"
	"fmt"

	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// revision adds the revision that the standing is about: the one it stands on,
// else the one in force by then.
func (g *gatherer) revision() error {
	var adopted []happened
	for _, h := range g.proc {
		if _, ok := h.event.Act.(clearance.RevisionAdopted); ok {
			adopted = append(adopted, h)
		}
	}
	id := g.ev.Standing.Revision
	if id == "" && len(adopted) > 0 {
		id = adopted[len(adopted)-1].Subject
	}
	if err := g.titled(id); err != nil || id == "" {
		return err
	}
	rev, err := g.r.Revision(g.ctx, g.q.Procedure, id)
	if err != nil {
		return fmt.Errorf("read revision %s: %w", id, err)
	}
	g.ev.Revision = EvidenceRevision{Revision: id, Issued: rev.Issued, Imported: rev.Imported, Digest: hex.EncodeToString(rev.Digest), Blueprint: blueprintDigest(rev.Blueprint)}
	for _, h := range adopted {
		if h.Subject == id {
			g.ev.Revision.Adopted = h.At
			g.note(h.entry(), "adopting revision "+id)
		}
	}
	return g.importOf(id)
}

// titled adds the title of the procedure, by a revision or, without one, the
// newest that is on record.
func (g *gatherer) titled(revision string) error {
	revs, err := g.r.Revisions(g.ctx, g.q.Procedure)
	if err != nil {
		return fmt.Errorf("read revisions: %w", err)
	}
	for _, rev := range revs {
		if g.ev.Title = rev.Title; rev.Revision == revision {
			return nil
		}
	}
	return nil
}

// importOf notes the entry that attests the import of a revision.
func (g *gatherer) importOf(revision string) error {
	rows, err := g.r.LedgerOf(g.ctx, g.q.Procedure)
	if err != nil {
		return fmt.Errorf("find the entry of revision %s: %w", revision, err)
	}
	for _, row := range rows {
		if e, err := ledger.Parse(row.Text); err == nil && e.Kind == ledger.RevisionImported && e.Attributes["revision"] == label(revision) {
			g.note(row.N, "the text of revision "+revision)
		}
	}
	return nil
}

// policy adds the policy that decided, and the act that set it: the procedure's
// own where one was set by then, else the site's, else the program's default.
func (g *gatherer) policy() error {
	at := g.at
	if from := g.ev.Trail.From; !from.IsZero() {
		at = from.UTC()
	}
	err := g.a.register.judge(g.ctx, g.r, func(f *registerCache) error {
		g.ev.Policy = EvidencePolicy{Policy: f.reg.PolicyAt(g.q.Procedure, at), At: at}
		return nil
	})
	if err != nil {
		return err
	}
	set, ok := g.lastPolicy(g.proc)
	if !ok {
		site, err := g.acts(g.r.ActsOfProcedure(g.ctx, ""))
		if err != nil {
			return err
		}
		set, ok = g.lastPolicy(site)
		g.ev.Policy.Site = ok
	}
	if ok {
		g.ev.Policy.Set = set.At
		g.note(set.entry(), "the policy in force")
	}
	return nil
}

// lastPolicy is the last act by the time of the policy that set one.
func (g *gatherer) lastPolicy(acts []happened) (last happened, ok bool) {
	for _, h := range acts {
		if _, is := h.event.Act.(clearance.PolicySet); is && !h.At.After(g.ev.Policy.At) {
			last, ok = h, true
		}
	}
	return last, ok
}

// note notes that an entry of the ledger attests part of the evidence.
func (g *gatherer) note(n int64, about string) { g.about[n] = cmp.Or(g.about[n], about) }

// entriesOf notes every entry about a record that was written by then.
func (g *gatherer) entriesOf(id, about string) error {
	rows, err := g.r.LedgerOf(g.ctx, id)
	if err != nil {
		return fmt.Errorf("find the entries of %s: %w", id, err)
	}
	for _, row := range rows {
		if !row.At.After(g.at) {
			g.note(row.N, about)
		}
	}
	return nil
}

// proofs adds the entries with their proofs under the newest checkpoint, each
// checked before it goes out, and the public keys.
func (g *gatherer) proofs() error {
	v, err := openView(g.ctx, g.r)
	if errors.Is(err, ErrNoLedger) {
		g.ev.Entries, g.ev.Keys = []EvidenceEntry{}, []string{}
		return nil
	}
	if err != nil {
		return err
	}
	for _, k := range v.keys {
		g.ev.Keys = append(g.ev.Keys, k.Verifier)
	}
	g.ev.Checkpoint = string(v.head.Checkpoint)
	last, err := v.row(v.head.Size - 1)
	if err != nil {
		return err
	}
	g.ev.Recorded = last.At
	g.ev.Entries, err = v.proved(g.about)
	return err
}
