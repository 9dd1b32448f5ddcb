package web

import (
	"io/fs"
	"path"
	"strings"
	"testing"

	"github.com/jba/templatecheck"
)

// pageTypes holds for each page a value of the struct that it is rendered with.
var pageTypes = map[string]any{
	"account":       AccountPage{},
	"bench":         BenchPage{},
	"entries":       EntriesPage{},
	"entry":         EntryPage{},
	"card":          CardPage{},
	"error":         ErrorPage{},
	"evidence":      EvidencePage{},
	"fact":          FactPage{},
	"items":         ItemsPage{},
	"live":          LivePage{},
	"people":        PeoplePage{},
	"person":        PersonPage{},
	"panel":         PanelPage{},
	"panels":        PanelsPage{},
	"panel-sheet":   PanelSheetPage{},
	"planner":       PlannerPage{},
	"preview":       LoosePreview{},
	"procedure":     ProcedurePage{},
	"record":        RecordPage{},
	"result":        ResultPage{},
	"results":       ResultsPage{},
	"reviewed":      ReviewPage{},
	"review":        SheetListPage{},
	"register":      RegisterPage{},
	"cover":         CoverPage{},
	"signers":       SignersPage{},
	"trail":         TrailPage{},
	"sheet":         SheetPage{},
	"sheet-list":    SheetListPage{},
	"sign-in":       SignInPage{},
	"lessons":       LessonsPage{},
	"lesson-groups": GroupsPage{},
	"lesson-fact":   FactLessonPage{},
	"lesson-person": PersonLessonPage{},

	"adoption":     AdoptionPage{},
	"appointments": AppointmentsPage{},
	"catch-up":     CatchUpPage{},
	"exceptions":   ExceptionsPage{},
	"policy":       PolicyPage{},
	"revisions":    RevisionsPage{},
	"trainings":    TrainingsPage{},

	"read-over":    ReadOverPage{},
	"rebuild":      RebuildPage{},
	"rebuild-open": RebuildPage{},
	"rebuilds":     RebuildsPage{},
	"sign":         SignPage{},
	"station":      StationPage{},
	"times":        TimesPage{},
	"wrench":       WrenchPage{},
	"wrenches":     WrenchesPage{},
}

// Every template is type-checked against the struct of its page, so that a field
// that is renamed is found here and not by a visitor.
func TestTemplatesFitTheirPages(t *testing.T) {
	pages, err := parsePages(&Face{})
	if err != nil {
		t.Fatal(err)
	}
	for name, tmpl := range pages {
		page, ok := pageTypes[name]
		if !ok {
			t.Errorf("page %s has no struct in this test", name)
			continue
		}
		if err := templatecheck.CheckHTML(tmpl.Lookup(name), page); err != nil {
			t.Errorf("page %s: %v", name, err)
		}
	}
	for name := range pageTypes {
		if pages[name] == nil {
			t.Errorf("there is no template for page %s", name)
		}
	}
}

// The content security policy refuses inline scripts and styles; the loose
// preview alone carries its styles with it.
func TestNoInlineScriptsOrStyles(t *testing.T) {
	err := fs.WalkDir(templateFiles, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(templateFiles, p)
		if err != nil {
			return err
		}
		for _, bad := range []string{"style=", "onclick", "onchange", "javascript:", "http://", "https://", "<style"} {
			if strings.Contains(string(b), bad) && (bad != "<style" || path.Base(p) != "preview.tmpl") {
				t.Errorf("%s holds %q", p, bad)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
