package web

import (
	"fmt"

	"soloright/api"
	"soloright/api/paper"
	"soloright/scoring/clearance"
)

// Policy says what the policy asks for.
func (p EvidencePage) Policy() string { return paper.PolicyWords(p.E.Policy.Policy) }

// What says what a sitting is.
func (p EvidencePage) What(s api.EvidenceSitting) string {
	what, _ := paper.SittingWords(s)
	return what
}

// Became says what became of a sitting.
func (p EvidencePage) Became(s api.EvidenceSitting) string {
	_, result := paper.SittingWords(s)
	return result
}

// Marks says how many marks a sitting has.
func (p EvidencePage) Marks(s api.EvidenceSitting) string { return paper.MarksWords(s) }

// Counts says whether a rebuild counts.
func (p EvidencePage) Counts(r api.EvidenceRebuild) string { return paper.RebuildWords(r) }

// Held says what was observed at a hold point.
func (p EvidencePage) Held(h api.EvidenceHold) string { return paper.HoldWords(h) }

// Good reports whether a hold point was passed as it should be.
func (p EvidencePage) Good(h api.EvidenceHold) bool {
	return h.Outcome == clearance.Unaided || h.Outcome == clearance.NotApplicable
}

// SignedLine is a signature with its time in words.
type SignedLine struct {
	S  api.EvidenceSignature
	At string
}

// Signed is a signature as the page shows it.
func (p EvidencePage) Signed(s api.EvidenceSignature) SignedLine { return SignedLine{s, p.When(s.At)} }

// Reads says what was read.
func (p EvidencePage) Reads(r api.EvidenceRead) string { return paper.ReadWords(r) }

// Found says what was found at a reading.
func (p EvidencePage) Found(l api.EvidenceReading) string { return paper.ReadingWords(l) }

// ReadFact says what a removed fact said.
func (p EvidencePage) ReadFact(r api.EvidenceRead, i int) string {
	if r.Texts[i] != "" {
		return r.Texts[i]
	}
	return string(r.Facts[i])
}

// The most lines of each list that the page shows; the print has all of them.
const (
	mostSittings = 20
	mostFacts    = 60
	mostEntries  = 60
)

// Sittings are the last sittings.
func (p EvidencePage) Sittings() []api.EvidenceSitting { return lastOf(p.E.Sittings, mostSittings) }

// Facts are the facts missed first that are shown.
func (p EvidencePage) Facts() []api.EvidenceFact { return p.E.Facts[:min(mostFacts, len(p.E.Facts))] }

// Entries are the last entries.
func (p EvidencePage) Entries() []api.EvidenceEntry { return lastOf(p.E.Entries, mostEntries) }

func lastOf[T any](all []T, most int) []T { return all[max(0, len(all)-most):] }

// Missed says when a fact was missed.
func (p EvidencePage) Missed(f api.EvidenceFact) string {
	last := p.Day(f.Missed[len(f.Missed)-1])
	if n := len(f.Missed); n > 1 {
		return fmt.Sprintf("%d times, last %s", n, last)
	}
	return last
}
