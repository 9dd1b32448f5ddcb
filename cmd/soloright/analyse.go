package main

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"

	"github.com/schollz/progressbar/v3"

	"soloright/api"
	"soloright/api/paper"
	"soloright/scoring/itemhealth"
	"soloright/scoring/itemstat"
)

// analyseCmd judges the items of every procedure by the whole history.
type analyseCmd struct {
	storage
	CSV   string `help:"Write every family with its figures to this file, - for the output." placeholder:"FILE"`
	Most  int    `help:"Tell at most so many families with flags of each procedure." default:"20"`
	Forms int    `help:"Set so many forms of each procedure, as the blueprint gives them and steered by the statistics, and tell how far apart they are." placeholder:"N"`
	Quiet bool   `help:"Show no progress."`
}

// Run tells which items are worth a look, on what evidence. It changes nothing.
func (cmd *analyseCmd) Run(e *env) (err error) {
	st, err := cmd.openExisting(e.ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	bar := progressbar.NewOptions(-1, progressbar.OptionSetWriter(e.err), progressbar.OptionSetDescription("reading the history"),
		progressbar.OptionShowCount(), progressbar.OptionSetVisibility(!cmd.Quiet), progressbar.OptionClearOnFinish())
	app := newApp(e, st)
	reports, asOf, err := app.AnalyseHistory(e.ctx, func(p api.HealthProgress) {
		if p.Share > 0 {
			bar.Describe(fmt.Sprintf("%s, %.0f %%", p.Doing, 100*p.Share))
		}
		_ = bar.Set(p.Read)
	})
	_ = bar.Finish()
	if err != nil {
		return err
	}
	order := slices.Sorted(maps.Keys(reports))
	if cmd.CSV == "-" {
		return paper.ItemsCSV(e.out, order, reports)
	}
	fmt.Fprintf(e.out, "%d sittings, %d answers%s; %.1f s.\n", asOf.Sittings, asOf.Answers, upTo(asOf), asOf.Seconds)
	for _, id := range order {
		tellReport(e.out, id, reports[id], cmd.Most)
		if cmd.Forms > 0 {
			alike, err := app.FormsAlike(e.ctx, id, reports[id], cmd.Forms)
			if err != nil {
				return err
			}
			tellForms(e.out, alike)
		}
	}
	if cmd.CSV == "" {
		return nil
	}
	return writeItems(cmd.CSV, order, reports)
}

// upTo says which hand-in was read last, if any.
func upTo(asOf api.HealthAsOf) string {
	if asOf.HandedIn.IsZero() {
		return ""
	}
	return ", up to the hand-in of " + asOf.HandedIn.Format("2006-01-02 15:04 MST")
}

// tellReport tells of a procedure and its families with flags, the worst first.
func tellReport(w io.Writer, id string, rep *itemhealth.Report, most int) {
	fmt.Fprintf(w, "\n%s: %d people, %d answers, %d families\n", id, rep.People, rep.Answers, len(rep.Items))
	fmt.Fprintf(w, "  dependability of a pass at %.0f %%: Φ(λ) %s, standard error of a share %s\n", 100*rep.Cut, figure(rep.Dependable.Phi), figure(rep.Dependable.SEM))
	fmt.Fprintf(w, "  Rasch: %s; 2PL: %s; reliability by the model %s\n", rep.Fit.Rasch, rep.Fit.TwoPL, figure(rep.Fit.Reliability))
	told, flagged := 0, 0
	for _, h := range rep.Items {
		if len(h.Flags) == 0 {
			continue
		}
		if flagged++; told == most {
			continue
		}
		told++
		fmt.Fprintf(w, "  %s, %s, revision %v%s: right %s, item-total %s\n", h.Lead, h.Model, h.Revisions, former(h), figure(h.Difficulty), figure(h.ItemTotal))
		for _, f := range h.Flags {
			fmt.Fprintf(w, "    %s %s: %s\n", sure(f), f.Kind, f.Sentence)
		}
	}
	if told < flagged {
		fmt.Fprintf(w, "  and %d more families with flags\n", flagged-told)
	}
	if flagged == 0 {
		fmt.Fprintln(w, "  no flags")
	}
}

// tellForms tells how hard the hardest and the easiest form are for somebody at the
// cut, before and after steering.
func tellForms(w io.Writer, alike []api.FormsAlike) {
	if len(alike) == 0 {
		fmt.Fprintln(w, "  forms: no family has a difficulty yet")
	}
	points := func(s [2]int) string {
		return fmt.Sprintf("%.1f to %.1f %%, %.1f points apart", float64(s[0])/10, float64(s[1])/10, float64(s[1]-s[0])/10)
	}
	for _, f := range alike {
		build := ""
		if f.Build != "" {
			build = ", build " + f.Build
		}
		fmt.Fprintf(w, "  %d forms%s: somebody at the cut is to expect %s; steered, %s (%d of %d families have a difficulty)\n", f.Forms, build, points(f.Before), points(f.After), f.Known, f.Families)
	}
}

func former(h itemhealth.Health) string {
	if h.Current {
		return ""
	}
	return " (stated otherwise now)"
}

// sure marks a flag that luck does not explain.
func sure(f itemhealth.Flag) string {
	if f.Firm {
		return "!"
	}
	return "?"
}

func figure(f itemstat.Figure) string {
	switch {
	case f.Known() && f.Conf > 0:
		return fmt.Sprintf("%.2f (%.2f to %.2f, n %d)", f.Value, f.Lo, f.Hi, f.N)
	case f.Known():
		return fmt.Sprintf("%.2f (n %d)", f.Value, f.N)
	case f.Need > 0:
		return fmt.Sprintf("not yet (n %d of %d)", f.N, f.Need)
	}
	return "not given: " + string(f.NotYet)
}

func writeItems(file string, order []string, reports map[string]*itemhealth.Report) (err error) {
	f, err := os.Create(file)
	if err != nil {
		return fmt.Errorf("write the table: %w", err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return paper.ItemsCSV(f, order, reports)
}
