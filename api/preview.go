package api

import (
	"context"
	"crypto/sha256"
	"math/rand/v2"

	"soloright/content"
	"soloright/quiz"
)

// PreviewFact is a fact with sample items and their keys, or the reason why no
// model can write on it.
type PreviewFact struct {
	Fact  content.Fact
	Items []quiz.Item
	Why   string
}

// Preview shows a trainer every fact of a procedure's revision for a build,
// with one sample item of each model that can write on it. An empty revision is
// the current one. The same seed gives the same samples.
func (a *App) Preview(ctx context.Context, c Caller, id, revision, build string, seed quiz.Seed) ([]PreviewFact, error) {
	e, err := a.preview(ctx, c, id, revision, build)
	if err != nil {
		return nil, err
	}
	return PreviewEdition(e, a.models, seed)
}

// PreviewOf is what [App.Preview] shows of one fact, at the cost of that one.
func (a *App) PreviewOf(ctx context.Context, c Caller, id, revision, build string, fact content.FactID, seed quiz.Seed) (PreviewFact, error) {
	e, err := a.preview(ctx, c, id, revision, build)
	if err != nil {
		return PreviewFact{}, err
	}
	f, ok := e.Source.Index.Fact(fact)
	if !ok {
		return PreviewFact{}, notFound("fact")
	}
	return previewFact(e, a.models, f, seed)
}

// preview returns the edition for a caller who may read keys.
func (a *App) preview(ctx context.Context, c Caller, id, revision, build string) (*Edition, error) {
	var e *Edition
	err := a.read(ctx, c, ReadKeys, func(r Reader, w Actor) error {
		if err := a.closedBook(ctx, r, w, id); err != nil {
			return err
		}
		if revision == "" {
			rev, err := a.current(ctx, r, id)
			if err != nil {
				return err
			}
			revision = rev.Revision
		}
		var err error
		e, err = a.content.edition(ctx, r, id, revision, build)
		return err
	})
	return e, err
}

// PreviewEdition is what [App.Preview] shows, of an edition at hand.
func PreviewEdition(e *Edition, models []quiz.Model, seed quiz.Seed) ([]PreviewFact, error) {
	var out []PreviewFact
	for _, f := range e.Source.Index.Facts() {
		pf, err := previewFact(e, models, f, seed)
		if err != nil {
			return nil, err
		}
		out = append(out, pf)
	}
	return out, nil
}

// previewFact writes the sample items of one fact. Each fact draws by itself, so
// that it has the same samples alone and among the others.
func previewFact(e *Edition, models []quiz.Model, f content.Fact, seed quiz.Seed) (PreviewFact, error) {
	rnd := rand.New(rand.NewChaCha8(sha256.Sum256(append(seed[:], f.ID...))))
	pf := PreviewFact{Fact: f}
	for _, m := range models {
		n, why := m.Count(e.Source, f)
		if n == 0 {
			if why != "" {
				pf.Why = why
			}
			continue
		}
		it, err := m.Write(e.Source, f, rnd)
		if err != nil {
			return PreviewFact{}, err
		}
		pf.Items = append(pf.Items, it)
	}
	return pf, nil
}
