package api

import (
	"math"

	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/itemhealth"
)

// familyAt is a family as the report on items names it.
type familyAt = itemhealth.Family

// aim is what a form is steered to, by the statistics of the last analysis of
// items; nil where the blueprint asks for nothing, in practice, and as long as nothing
// was analysed. The form keeps what was used, so it is set again as it was whatever
// became of the statistics. Where nothing was analysed since the program started, an
// analysis begins in the background, for the forms that follow.
func (a *App) aim(bank *quiz.Bank, bp content.Blueprint, m Mode) *quiz.Aim {
	if m != Qualifying || bp.Difficulty == 0 && bp.Information == 0 {
		return nil
	}
	last, _, _ := a.health.look()
	if last == nil {
		a.health.start(a)
		return nil
	}
	rep := last.reports[bank.Source().Procedure.ID]
	if rep == nil {
		return nil
	}
	return aimOf(bank, bp, difficulties(rep), last.asOf.Sittings)
}

// difficulties are the Rasch difficulties of families, in logits, as far as their
// facts state today what they were asked on.
func difficulties(rep *itemhealth.Report) map[familyAt]float64 {
	out := map[familyAt]float64{}
	for _, h := range rep.Items {
		if h.Current && h.Rasch.Known() {
			out[h.Family] = h.Rasch.Value
		}
	}
	return out
}

// aimOf turns Rasch difficulties into what an assembler works with: for each family
// of the bank the chance that somebody at the cut gets it fully right, and p(1 − p),
// what it tells there. The cut lies at the ability that expects its share of the
// marks from the topics in the blueprint's proportions. Nil where no family has
// statistics.
func aimOf(bank *quiz.Bank, bp content.Blueprint, b map[familyAt]float64, sittings int) *quiz.Aim {
	aim := &quiz.Aim{Mark: 10 * bp.Difficulty, Information: 1000 * bp.Information, Sample: sittings}
	mix := mixOf(bank, bp, b)
	if len(mix) == 0 {
		return nil
	}
	at := atCut(mix, float64(bp.Cut)/100)
	for _, f := range bank.Families() {
		mark, tells := -1, -1
		if d, known := b[familyAt{Lead: string(f.Lead), Model: f.Model.Name()}]; known {
			p := rasch(at - d)
			mark, tells = int(math.Round(1000*p)), int(math.Round(1000*p*(1-p)))
		}
		aim.Marks, aim.Tells = append(aim.Marks, mark), append(aim.Tells, tells)
	}
	return aim
}

// rasch is the chance of a right answer so many logits above the difficulty.
func rasch(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// weighed is a difficulty with its weight.
type weighed struct{ b, weight float64 }

// mixOf weighs the families with statistics so that topics weigh as their minima.
func mixOf(bank *quiz.Bank, bp content.Blueprint, b map[familyAt]float64) []weighed {
	byTopic := map[content.Topic][]float64{}
	for _, f := range bank.Families() {
		fact, _ := bank.Source().Index.Fact(f.Lead)
		if d, known := b[familyAt{Lead: string(f.Lead), Model: f.Model.Name()}]; known {
			byTopic[fact.Kind.Topic()] = append(byTopic[fact.Kind.Topic()], d)
		}
	}
	share := map[content.Topic]int{}
	for _, r := range bp.Topics {
		share[r.Topic] = r.Min
	}
	var out []weighed
	for _, t := range content.Topics {
		for _, d := range byTopic[t] {
			out = append(out, weighed{d, float64(max(1, share[t])) / float64(len(byTopic[t]))})
		}
	}
	return out
}

// atCut is the ability, in logits, whose expected share of the marks is the cut; a
// cut of all marks lies as far up as the scale goes.
func atCut(mix []weighed, cut float64) float64 {
	lo, hi := -20.0, 20.0
	for range 60 {
		mid := (lo + hi) / 2
		sum, all := 0.0, 0.0
		for _, w := range mix {
			sum += w.weight * rasch(mid-w.b)
			all += w.weight
		}
		if sum/all < cut {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
