package api

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"hash/maphash"
	"maps"
	"slices"
	"strconv"
	"time"

	"soloright/quiz"
	"soloright/scoring"
	"soloright/scoring/ledger"
)

// recordCheck holds the rows of the record against the entries that attest them.
type recordCheck struct {
	ctx      context.Context
	r        Reader
	v        *ledgerView
	progress func(what string, done, total int64)
	tell     func(Disagreement)

	seed     maphash.Seed
	attested map[uint64]bool // what has an entry, by the hash of its kind and id
	people   map[string]*account
	records  int64
}

// account is an account as its entries say.
type account struct {
	entry          int64 // the last one
	role, password string
	left           time.Time
}

func newRecordCheck(ctx context.Context, r Reader, v *ledgerView, progress func(string, int64, int64), tell func(Disagreement)) *recordCheck {
	return &recordCheck{ctx: ctx, r: r, v: v, progress: progress, tell: tell, seed: maphash.MakeSeed(), attested: map[uint64]bool{}, people: map[string]*account{}}
}

// note notes that something has an entry; false where it had one before.
func (c *recordCheck) note(kind ledger.Kind, id ...string) bool {
	key := c.key(kind, id)
	if c.attested[key] {
		return false
	}
	c.attested[key] = true
	return true
}

func (c *recordCheck) has(kind ledger.Kind, id ...string) bool { return c.attested[c.key(kind, id)] }

func (c *recordCheck) key(kind ledger.Kind, id []string) uint64 {
	var h maphash.Hash
	h.SetSeed(c.seed)
	for _, s := range append([]string{string(kind)}, id...) {
		_, _ = h.WriteString(s)
		_ = h.WriteByte(0)
	}
	return h.Sum64()
}

// checkers says, for each kind of entry, how what it attests is checked. A kind
// that is not here attests nothing but itself.
var checkers = map[ledger.Kind]func(*recordCheck, int64, ledger.Entry) error{
	ledger.AccountAdded:     (*recordCheck).account,
	ledger.AccountChanged:   (*recordCheck).account,
	ledger.RoleChanged:      (*recordCheck).account,
	ledger.PasswordSet:      (*recordCheck).account,
	ledger.AccountLeft:      (*recordCheck).account,
	ledger.AccountBack:      (*recordCheck).account,
	ledger.RevisionImported: (*recordCheck).revision,
	ledger.SittingHandedIn:  (*recordCheck).handIn,
	ledger.SittingMarked:    (*recordCheck).marking,
	ledger.SittingRemarked:  (*recordCheck).marking,
	ledger.SittingVoided:    (*recordCheck).void,
	ledger.CardIssued:       (*recordCheck).card,
	ledger.CardRevoked:      (*recordCheck).cardRevoked,
	ledger.KeyMade:          (*recordCheck).ledgerKey,
	ledger.KeyRotated:       (*recordCheck).ledgerKey,

	ledger.PasswordRefused: (*recordCheck).refusal,
	ledger.SignatureGiven:  (*recordCheck).signature,

	ledger.ItemWithdrawn: (*recordCheck).withdrawal,
	ledger.ItemTakenUp:   (*recordCheck).withdrawal,

	ledger.PanelOpened:     (*recordCheck).panel,
	ledger.PanelRated:      (*recordCheck).panelRatings,
	ledger.PanelRoundEnded: (*recordCheck).panelEnd,
	ledger.PanelClosed:     (*recordCheck).panelEnd,

	ledger.WrenchAdded:      (*recordCheck).wrenchAdded,
	ledger.WrenchCalibrated: (*recordCheck).calibration,
	ledger.RebuildFinished:  (*recordCheck).rebuild,
	ledger.RebuildAbandoned: (*recordCheck).abandoned,
	ledger.RebuildVoided:    (*recordCheck).rebuildVoid,

	ledger.ActRecorded:         (*recordCheck).act,
	ledger.RevisionAdopted:     (*recordCheck).act,
	ledger.ProcedureWithdrawn:  (*recordCheck).act,
	ledger.PolicyChanged:       (*recordCheck).act,
	ledger.TrainingGiven:       (*recordCheck).act,
	ledger.AppointmentMade:     (*recordCheck).act,
	ledger.AppointmentEnded:    (*recordCheck).act,
	ledger.ExceptionRecorded:   (*recordCheck).act,
	ledger.ClearanceSuspended:  (*recordCheck).act,
	ledger.ClearanceReinstated: (*recordCheck).act,
	ledger.ClearanceWithdrawn:  (*recordCheck).act,
}

// entries goes through the ledger and checks what each entry attests.
func (c *recordCheck) entries() error {
	done := int64(0)
	for row, err := range c.v.rows(0) {
		if err != nil {
			return err
		}
		if done++; done%100 == 0 || done == c.v.head.Size {
			c.progress("what entries attest", done, c.v.head.Size)
		}
		e, err := ledger.Parse(row.Text)
		if err != nil {
			continue // told with the tree
		}
		if d, ok := columnsDiffer(row); ok {
			c.tell(d)
		}
		if check := checkers[e.Kind]; check != nil {
			if err := check(c, row.N, e); err != nil {
				return fmt.Errorf("check what entry %d attests: %w", row.N, err)
			}
		}
	}
	return nil
}

// gone tells that a row is not there; false where the error is another.
func (c *recordCheck) gone(err error, n int64, what string) (bool, error) {
	if err == nil || !errors.Is(err, ErrNone) {
		return false, err
	}
	c.tell(disagree(n, "Entry %d attests %s, and that is not in the database: it was removed.", n, what))
	return true, nil
}

// twice tells of a second entry for what can happen once.
func (c *recordCheck) twice(n int64, what string) {
	c.tell(disagree(n, "Entry %d attests %s, which an entry before it attests already.", n, what))
}

// compare tells of each attribute that is not what the stored rows give.
func (c *recordCheck) compare(n int64, what string, was, is ledger.Entry) {
	parts := map[string]string{"row": "its row", "form": "its form", "answers": "its answers", "outcome": "its outcome", "text": "its text", "reason": "its reason",
		"verdict": "its verdict", "rules": "the rules it was marked by", "person": "whose it is", "time-up": "whether the time was up", "by": "who did it"}
	for _, key := range slices.Sorted(maps.Keys(is.Attributes)) {
		if was.Attributes[key] == is.Attributes[key] {
			continue
		}
		part := parts[key]
		if part == "" {
			part = "its " + key
		}
		c.tell(disagree(n, "%s was altered: %s is not what entry %d attests.", sentence(what), part, n))
	}
}

// sentence begins one with what.
func sentence(what string) string { return "T" + what[1:] } // all of them begin with "the"

func (c *recordCheck) account(n int64, e ledger.Entry) error {
	p := c.people[e.ID]
	if p == nil {
		p = &account{}
		c.people[e.ID] = p
		if e.Kind != ledger.AccountAdded {
			c.tell(disagree(n, "Entry %d is about the account %s, which no entry before it adds.", n, e.ID))
		}
	} else if e.Kind == ledger.AccountAdded {
		c.twice(n, "the account "+e.ID)
	}
	p.entry = n
	switch e.Kind {
	case ledger.AccountAdded:
		p.role, p.password = e.Attributes["role"], e.Attributes["password"]
	case ledger.RoleChanged:
		p.role = e.Attributes["role"]
	case ledger.PasswordSet:
		p.password = e.Attributes["password"]
	case ledger.AccountLeft:
		p.left = e.At
	case ledger.AccountBack:
		p.left = time.Time{}
	}
	return nil
}

func (c *recordCheck) revision(n int64, e ledger.Entry) error {
	revision := e.Attributes["revision"]
	what := fmt.Sprintf("the revision %s of %s", revision, e.ID)
	if !c.note(ledger.RevisionImported, e.ID, revision) {
		c.twice(n, what)
	}
	all, err := c.r.Revisions(c.ctx, e.ID)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(r Revision) bool { return label(r.Revision) == revision })
	if i < 0 {
		_, err := c.gone(ErrNone, n, what)
		return err
	}
	r, err := c.r.Revision(c.ctx, e.ID, all[i].Revision)
	if err != nil {
		return err
	}
	is := revisionImported(r, e.Attributes["by"])
	c.compare(n, what, e, is)
	if text := revisionDigest(r.Source, r.Blueprint); !bytes.Equal(text, r.Digest) {
		c.tell(disagree(n, "%s was altered: the digest in its row is not that of its text.", sentence(what)))
	}
	return nil
}

func (c *recordCheck) handIn(n int64, e ledger.Entry) error {
	what := "the sitting " + e.ID
	if !c.note(ledger.SittingHandedIn, e.ID) {
		c.twice(n, "the hand-in of "+what)
	}
	s, err := c.r.Sitting(c.ctx, e.ID)
	if stop, err := c.gone(err, n, what); stop || err != nil {
		return err
	}
	form, err := c.r.Form(c.ctx, e.ID)
	if stop, err := c.gone(err, n, "the form of "+what); stop || err != nil {
		return err
	}
	h, err := c.r.HandIn(c.ctx, e.ID)
	if stop, err := c.gone(err, n, "the hand-in of "+what); stop || err != nil {
		return err
	}
	c.compare(n, what, e, handedIn(s, form, h, e.At, e.Attributes["by"]))
	for part, pair := range map[string][2][]byte{"form": {form, s.Digest}, "answers": {h.Answers, h.Digest}} {
		if sum := sha256.Sum256(pair[0]); !bytes.Equal(sum[:], pair[1]) {
			c.tell(disagree(n, "%s was altered: the digest of its %s that is stored beside it is not theirs.", sentence(what), part))
		}
	}
	return c.items(n, what, s.ID, form)
}

// items holds the list of items that was set against the form.
func (c *recordCheck) items(n int64, what, id string, form []byte) error {
	var f quiz.Form
	if json.Unmarshal(form, &f) != nil {
		return nil // the form is not what was attested, which is told
	}
	set, err := c.r.ItemsOf(c.ctx, id)
	if err != nil {
		return err
	}
	if !slices.EqualFunc(set, met(id, &f), sameItem) {
		c.tell(disagree(n, "%s was altered: the list of its items is not that of its form.", sentence(what)))
	}
	return nil
}

func sameItem(a, b MetItem) bool {
	return a.Sheet == b.Sheet && a.Item == b.Item && a.Model == b.Model && a.Lead == b.Lead && a.Topic == b.Topic && slices.Equal(a.Facts, b.Facts)
}

func (c *recordCheck) marking(n int64, e ledger.Entry) error {
	number := e.Attributes["marking"]
	what := fmt.Sprintf("the marking %s of the sitting %s", number, e.ID)
	if !c.note(ledger.SittingMarked, e.ID, number) {
		c.twice(n, what)
	}
	marks, err := c.r.Marks(c.ctx, e.ID)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(marks, func(m Marking) bool { return strconv.Itoa(m.N) == number })
	if i < 0 {
		_, err := c.gone(ErrNone, n, what)
		return err
	}
	c.compare(n, what, e, marked(marks[i], e.Attributes["by"]))
	return c.facts(n, what, marks[i])
}

// facts holds the states of facts against the outcome that they were read off.
func (c *recordCheck) facts(n int64, what string, m Marking) error {
	var out scoring.Outcome
	if json.Unmarshal(m.Outcome, &out) != nil {
		return nil // the outcome is not what was attested, which is told
	}
	_, want, err := marking(m.Sitting, m.N, m.At, out)
	if err != nil {
		return err
	}
	have, err := c.r.MarkedFacts(c.ctx, m.Sitting, m.N)
	if err != nil {
		return err
	}
	if !slices.Equal(have, want) {
		c.tell(disagree(n, "%s was altered: the facts marked are not those of its outcome.", sentence(what)))
	}
	return nil
}

func (c *recordCheck) void(n int64, e ledger.Entry) error {
	what := "the striking out of the sitting " + e.ID
	if !c.note(ledger.SittingVoided, e.ID) {
		c.twice(n, what)
	}
	v, err := c.r.Void(c.ctx, e.ID)
	if stop, err := c.gone(err, n, what); stop || err != nil {
		return err
	}
	c.compare(n, what, e, voided(v, e.Attributes["by"]))
	return nil
}

func (c *recordCheck) ledgerKey(n int64, e ledger.Entry) error {
	if !c.note(ledger.KeyMade, e.Attributes["key"]) {
		c.twice(n, "the key "+e.ID)
	}
	has := slices.ContainsFunc(c.v.keys, func(k ledger.Key) bool { return ledger.KeyDigest(k.Verifier) == e.Attributes["key"] })
	if !has {
		_, err := c.gone(ErrNone, n, "the key "+e.ID)
		return err
	}
	return nil
}
