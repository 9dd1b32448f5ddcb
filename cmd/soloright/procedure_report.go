package main

import (
	"fmt"
	"strings"

	"soloright/api"
	"soloright/content"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
	"soloright/scoring"
)

// report says how much a sound file gives: facts, families, what no item can be
// written on and why, and the chance to pass.
func report(e *env, file string, p *content.Procedure, bp []byte) error {
	for _, build := range p.BuildIDs() {
		ed, err := api.MakeEdition(p, bp, build, itemmodel.All())
		if err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		name := p.ID + " revision " + p.Revision
		if build != "" {
			name += ", build " + build
		}
		fmt.Fprintf(e.out, "%s: %s: %d facts, %d families of items\n", file, name, len(ed.Source.Index.Facts()), len(ed.Bank.Families()))
		for _, u := range ed.Bank.Unwritten() {
			fmt.Fprintf(e.out, "%s: note: no item on %s: %s\n", file, u.Fact.ID, strings.Join(u.Why, "; "))
		}
		for _, f := range ed.Bank.Unconfirmable() {
			fmt.Fprintf(e.out, "%s: note: who misses the critical fact %s cannot confirm it: fewer than three items can be written on it\n", file, f.ID)
		}
		reportPass(e, file, ed)
	}
	return nil
}

// reportPass says how likely persons of three levels pass, and warns where a
// good one passes too seldom.
func reportPass(e *env, file string, ed *api.Edition) {
	const samples = 20
	t, err := scoring.PassTable(ed.Bank, ed.Blueprint, quiz.Seed{}, samples)
	if err != nil {
		fmt.Fprintf(e.out, "%s: warning: no form can be set: %v\n", file, err)
		return
	}
	for _, r := range t.Rows {
		fmt.Fprintf(e.out, "%s: who gets %.2f of the items right passes with %.3f (%.3f on the hardest of %d forms; %.3f without the confirming step)\n",
			file, r.Holds, r.Pass, r.Least, t.Forms, r.Plain)
	}
	reportUnasked(e, file, ed)
	if t.Warn {
		fmt.Fprintf(e.out, "%s: warning: who gets 0.95 right should pass with 0.90 at least: ask for fewer critical facts, or fewer on isolation\n", file)
	}
}

// reportUnasked names what no qualifying form asks for; practice asks it.
func reportUnasked(e *env, file string, ed *api.Edition) {
	const forms = 400
	unasked, err := quiz.Unasked(ed.Bank, ed.Blueprint, forms)
	if err != nil || len(unasked) == 0 {
		return // why no form can be set is said already
	}
	ids := make([]string, len(unasked))
	for i, f := range unasked {
		ids[i] = string(f.ID)
	}
	fmt.Fprintf(e.out, "%s: note: asked in practice only, shut out of qualifying forms by what always appears or by the bounds: %s\n", file, strings.Join(ids, ", "))
}
