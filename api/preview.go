package api

import (
	"context"
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
	var out []PreviewFact
	err := a.read(ctx, c, ReadKeys, func(r Reader, _ Actor) error {
		if revision == "" {
			rev, err := a.current(ctx, r, id)
			if err != nil {
				return err
			}
			revision = rev.Revision
		}
		e, err := a.content.edition(ctx, r, id, revision, build)
		if err != nil {
			return err
		}
		out, err = PreviewEdition(e, a.models, seed)
		return err
	})
	return out, err
}

// PreviewEdition is what [App.Preview] shows, of an edition at hand.
func PreviewEdition(e *Edition, models []quiz.Model, seed quiz.Seed) ([]PreviewFact, error) {
	rnd := rand.New(rand.NewChaCha8(seed))
	var out []PreviewFact
	for _, f := range e.Source.Index.Facts() {
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
				return nil, err
			}
			pf.Items = append(pf.Items, it)
		}
		out = append(out, pf)
	}
	return out, nil
}
