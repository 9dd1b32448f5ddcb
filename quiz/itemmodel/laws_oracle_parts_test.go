package itemmodel

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"soloright/content"
	"soloright/quiz"
)

func init() {
	for name, o := range map[string]oracle{
		"pick-the-facing": oracleFacing, "say-the-facing": oracleSay, "one-way-or-either": oracleOneWay,
		"sort-the-bench": oracleSort, "how-many-go-in": oracleHowMany, "count-the-parts": oracleCount,
		"what-goes-on-this-surface": oracleSurface, "goes-on-or-stays-off": oracleOff, "which-do-you-grease-now": oracleGrease,
		"prove-zero": oracleProof, "pressure-that-returns": oracleReturn, "ease-the-joint": oracleOpening,
		"hazard-and-control": oracleHazard, "guard-against": oracleGuard,
		"pick-the-tools": oracleTools, "where-work-stops": oracleHold,
	} {
		oracles[name] = o
	}
}

// oracleFacing looks at the figure: the feature of a drawn part looks left or
// right, and a label stands at either end.
func oracleFacing(p *content.Procedure, it quiz.Item) (truth, error) {
	part := rawPart(p, ends(it)[1])
	f, fig := part.Facing, it.Figure.Facing
	labels := map[string]string{"left": fig.Left, "right": fig.Right}
	if ls := []string{fig.Left, fig.Right}; !slices.Contains(ls, f.Toward) || !slices.Contains(ls, f.Away) || fig.Left == fig.Right {
		return truth{}, fmt.Errorf("surrounding %q %q", fig.Left, fig.Right)
	}
	t := truth{right: map[string]bool{}}
	opts := it.Interaction.Options
	if opts[0].Drawn.Toward == opts[1].Drawn.Toward {
		return t, fmt.Errorf("options %+v", opts)
	}
	for _, o := range opts[:2] {
		if o.Drawn.Shape != part.Shape || !o.Drawn.Mark || !strings.HasSuffix(it.Stem, "One face carries a dab of marking paint.") {
			return t, fmt.Errorf("drawn %+v", *o.Drawn)
		}
		t.right[o.ID] = f.Kind == content.Directional && labels[o.Drawn.Toward] == f.Toward
	}
	return fixedFacing(f, it, t)
}

// oracleSay reads the two ways round from their words.
func oracleSay(p *content.Procedure, it quiz.Item) (truth, error) {
	f := rawPart(p, ends(it)[1]).Facing
	t := truth{right: map[string]bool{}}
	opts := it.Interaction.Options
	for i, o := range opts[:2] {
		other := opts[1-i].Text
		toward, away := strings.HasSuffix(o.Text, " toward the "+f.Toward), strings.HasSuffix(other, " toward the "+f.Away)
		if !toward && (!strings.HasSuffix(o.Text, " toward the "+f.Away) || !strings.HasSuffix(other, " toward the "+f.Toward)) || f.Feature != "" && !strings.HasPrefix(o.Text, f.Feature) {
			return t, fmt.Errorf("ways round %q and %q", o.Text, other)
		}
		t.right[o.ID] = f.Kind == content.Directional && toward && away
	}
	return fixedFacing(f, it, t)
}

func fixedFacing(f *content.Facing, it quiz.Item, t truth) (truth, error) {
	opts := it.Interaction.Options
	if len(opts) != 4 || it.Interaction.Fixed != 2 || opts[2].Text != "either way round" || opts[3].Text != "as the pipework requires" {
		return t, fmt.Errorf("options %+v", opts)
	}
	t.right["c"] = f.Kind == content.Reversible
	t.right["d"] = f.Kind == content.AsPipework
	for _, k := range it.Key.Options {
		if want := !k.Right && f.Kind == content.Directional && f.Critical; k.Dangerous != want {
			return t, fmt.Errorf("option %s dangerous: %v", k.ID, k.Dangerous)
		}
	}
	return t, nil
}

// sortBy finds for each row the bin whose text the procedure states for it; say
// returns "" for things that the row does not name. dangerous says whether a bin
// is a dangerous mistake for a row.
func sortBy(it quiz.Item, rows func(text string) []string, dangerous func(row, bin string) bool) (truth, error) {
	t := truth{bins: map[string][]string{}}
	for i, row := range it.Interaction.Rows {
		said := rows(row.Text)
		if len(said) != 1 {
			return t, fmt.Errorf("row %q: stated %q", row.Text, said)
		}
		for _, b := range it.Interaction.Bins {
			if b.Text == said[0] {
				t.bins[row.ID] = append(t.bins[row.ID], b.ID)
			}
			want := b.Text != said[0] && dangerous(row.Text, b.Text)
			if got := slices.Contains(it.Key.Rows[i].Dangerous, b.ID); got != want {
				return t, fmt.Errorf("row %q in bin %q dangerous: %v", row.Text, b.Text, got)
			}
		}
	}
	return t, nil
}

func partsNamed(p *content.Procedure, name string) []*content.Part {
	var out []*content.Part
	for i := range p.Parts {
		if p.Parts[i].Name == name {
			out = append(out, &p.Parts[i])
		}
	}
	return out
}

func oracleOneWay(p *content.Procedure, it quiz.Item) (truth, error) {
	bins := map[content.FacingKind]string{content.Directional: "one way round only", content.Reversible: "either way round", content.AsPipework: "as the pipework requires"}
	say := func(name string) (said []string) {
		for _, part := range partsNamed(p, name) {
			if part.Facing != nil && ownRow(it, "facing/"+part.ID) {
				said = append(said, bins[part.Facing.Kind])
			}
		}
		return said
	}
	return sortBy(it, say, func(row, _ string) bool {
		return slices.ContainsFunc(partsNamed(p, row), func(e *content.Part) bool {
			return e.Facing != nil && ownRow(it, "facing/"+e.ID) && e.Facing.Critical && e.Facing.Kind == content.Directional
		})
	})
}

// ownRow reports whether a row of the item belongs to the fact: parts that read
// alike are told apart by the fact that the row is marked on.
func ownRow(it quiz.Item, fact string) bool {
	return slices.ContainsFunc(it.Key.Rows, func(r quiz.KeyRow) bool { return string(r.Fact) == fact })
}

func oracleSort(p *content.Procedure, it quiz.Item) (truth, error) {
	bins := map[content.Disposition]string{content.AlwaysRenew: "always renew", content.InspectRefit: "inspect, refit if within limits", content.RefitAsItIs: "refit as it is"}
	own := func(name string) (out []*content.Part) {
		for _, part := range partsNamed(p, name) {
			if part.Disposition != "" && ownRow(it, "disposition/"+part.ID) {
				out = append(out, part)
			}
		}
		return out
	}
	say := func(name string) (said []string) {
		for _, part := range own(name) {
			said = append(said, bins[part.Disposition])
		}
		return said
	}
	return sortBy(it, say, func(row, bin string) bool {
		part := own(row)[0]
		return part.Critical && part.Disposition == content.AlwaysRenew && bin != "always renew"
	})
}

func oracleCount(p *content.Procedure, it quiz.Item) (truth, error) {
	say := func(name string) (said []string) {
		for _, part := range partsNamed(p, name) {
			if part.Quantity > 0 && ownRow(it, "quantity/"+part.ID) {
				said = append(said, strconv.Itoa(part.Quantity))
			}
		}
		return said
	}
	return sortBy(it, say, func(string, string) bool { return false })
}

func oracleHowMany(p *content.Procedure, it quiz.Item) (truth, error) {
	n := rawPart(p, ends(it)[1]).Quantity
	return truth{accept: func(typed string) bool { return typed == strconv.Itoa(n) }}, nil
}

// rawSurface is a surface with its words and what must not go on it.
type rawSurface struct {
	ref, row, words, product string
	s                        content.Surface
}

func allSurfaces(p *content.Procedure) []rawSurface {
	var out []rawSurface
	for _, part := range p.Parts {
		for _, s := range part.Surfaces {
			e := rawSurface{ref: part.ID + "/" + s.ID, row: part.Name + ", " + s.Name, words: s.Product, s: s}
			if s.Treatment == content.DryClean {
				e.words = "dry and clean"
			}
			if s.Treatment == content.AsSupplied {
				e.words = "as supplied, add nothing"
			}
			if e.words == "" {
				e.words = string(s.Treatment)
			}
			e.product = s.Product + " on the " + s.Name + " of the " + part.Name
			out = append(out, e)
		}
	}
	return out
}

func oracleSurface(p *content.Procedure, it quiz.Item) (truth, error) {
	all := allSurfaces(p)
	own := func(row string) *rawSurface {
		return find(all, func(e *rawSurface) bool { return e.row == row && ownRow(it, "surface/"+e.ref) })
	}
	return sortBy(it, func(row string) []string {
		if e := own(row); e != nil {
			return []string{e.words}
		}
		return nil
	}, func(row, _ string) bool { return own(row).s.Critical })
}

func oracleOff(p *content.Procedure, it quiz.Item) (truth, error) {
	said, critical := map[string][]string{}, map[string]bool{}
	for _, e := range allSurfaces(p) {
		where := strings.TrimPrefix(e.product, e.s.Product)
		if e.s.Product != "" && e.s.Treatment != content.DryClean && e.s.Treatment != content.AsSupplied {
			said[strings.ToLower(e.product)] = append(said[strings.ToLower(e.product)], "goes on")
			critical[strings.ToLower(e.product)] = e.s.Critical
		}
		for _, n := range e.s.Never {
			row := strings.ToLower(n.Text + where)
			said[row] = append(said[row], "must stay off")
			critical[row] = e.s.Critical
		}
	}
	return sortBy(it, func(row string) []string { return said[strings.ToLower(row)] },
		func(row, _ string) bool { return critical[strings.ToLower(row)] })
}

func oracleGrease(p *content.Procedure, it quiz.Item) (truth, error) {
	step, err := quotedStep(p, it)
	if err != nil {
		return truth{}, err
	}
	t := truth{right: map[string]bool{}}
	for i, o := range it.Interaction.Options {
		e := find(allSurfaces(p), func(e *rawSurface) bool {
			return e.row == o.Text && strings.HasSuffix(string(it.Key.Options[i].Fact), "/"+e.ref)
		})
		if e == nil || e.s.Treatment == content.AsSupplied {
			return t, fmt.Errorf("option %q must not be there", o.Text)
		}
		t.right[o.ID] = slices.Contains(step.Greases, e.ref)
		other := slices.ContainsFunc(p.Steps, func(s content.Step) bool { return slices.Contains(s.Greases, e.ref) })
		never := slices.Contains([]content.Treatment{content.DryClean, content.AntiSeize, content.ThreadLock}, e.s.Treatment)
		if !t.right[o.ID] && !other && !never {
			return t, fmt.Errorf("option %q is not stated wrong", o.Text)
		}
	}
	return t, nil
}

func rawEnergy(p *content.Procedure, it quiz.Item) *content.Energy {
	return find(p.Energies, func(e *content.Energy) bool { return e.ID == ends(it)[1] })
}

func oracleProof(p *content.Procedure, it quiz.Item) (truth, error) {
	e := rawEnergy(p, it)
	return statedChoice(it, []string{e.Prove}, because(e.NoProof))
}

func oracleReturn(p *content.Procedure, it quiz.Item) (truth, error) {
	e := rawEnergy(p, it)
	return statedChoice(it, []string{e.Returns.Do}, because(e.Returns.Not))
}

func oracleOpening(p *content.Procedure, it quiz.Item) (truth, error) {
	o := find(p.Openings, func(e *content.Opening) bool { return e.ID == ends(it)[1] })
	return statedChoice(it, []string{o.Do}, because(o.Not))
}

func hazardControls(h *content.Hazard) []string {
	var out []string
	for _, c := range h.Controls {
		out = append(out, c.Text)
	}
	return out
}

func oracleGuard(p *content.Procedure, it quiz.Item) (truth, error) {
	h := find(p.Hazards, func(e *content.Hazard) bool { return e.ID == ends(it)[1] })
	return statedChoice(it, hazardControls(h), because(h.Not))
}

// oracleHazard: a bin is right for every hazard that states it as a control, and
// no control may serve two of the hazards shown.
func oracleHazard(p *content.Procedure, it quiz.Item) (truth, error) {
	t := truth{bins: map[string][]string{}}
	for i, row := range it.Interaction.Rows {
		h := find(p.Hazards, func(e *content.Hazard) bool {
			return e.Hazard == row.Text && "hazard/"+e.ID == string(it.Key.Rows[i].Fact)
		})
		if h == nil {
			return t, fmt.Errorf("row %q is no hazard", row.Text)
		}
		for _, b := range it.Interaction.Bins {
			if slices.Contains(hazardControls(h), b.Text) {
				t.bins[row.ID] = append(t.bins[row.ID], b.ID)
			}
			if got := slices.Contains(it.Key.Rows[i].Dangerous, b.ID); got != (h.Critical && it.Key.Rows[i].Bin != b.ID) {
				return t, fmt.Errorf("row %q, bin %q dangerous: %v", row.Text, b.Text, got)
			}
		}
	}
	for _, b := range it.Interaction.Bins {
		n := 0
		for _, ids := range t.bins {
			n += count(ids, func(id string) bool { return id == b.ID })
		}
		if n != 1 {
			return t, fmt.Errorf("control %q serves %d of the hazards shown", b.Text, n)
		}
	}
	return t, nil
}

func oracleTools(p *content.Procedure, it quiz.Item) (truth, error) {
	step, err := quotedStep(p, it)
	if err != nil {
		return truth{}, err
	}
	names := func(ids []string) (out []string) {
		for _, tool := range p.Tools {
			if slices.Contains(ids, tool.ID) {
				out = append(out, tool.Name)
			}
		}
		return out
	}
	wrong := map[string]bool{}
	for _, n := range step.ToolsNot {
		for _, name := range names([]string{n.Tool}) {
			wrong[name] = true
		}
	}
	t := truth{right: map[string]bool{}}
	for _, o := range it.Interaction.Options {
		t.right[o.ID] = slices.Contains(names(step.Tools), o.Text)
		if slices.Contains(names(step.ToolsToo), o.Text) || wrong[o.Text] == t.right[o.ID] {
			return t, fmt.Errorf("tool %q: stated right %v, stated wrong %v, or accepted too", o.Text, t.right[o.ID], wrong[o.Text])
		}
	}
	return t, nil
}

func oracleHold(p *content.Procedure, it quiz.Item) (truth, error) {
	look := rawStep(p, ends(it)[1]).Hold.Look
	t := truth{right: map[string]bool{}}
	for _, o := range it.Interaction.Options {
		var looks []string
		for _, s := range p.Steps {
			if s.Text == o.Text && s.Hold != nil {
				looks = append(looks, s.Hold.Look)
			}
		}
		if len(looks) != 1 || !strings.Contains(strings.ToLower(it.Stem), strings.ToLower(look)) {
			return t, fmt.Errorf("option %q is %d hold points", o.Text, len(looks))
		}
		t.right[o.ID] = strings.EqualFold(looks[0], look)
	}
	return t, nil
}
