package web

import (
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"soloright/api"
	"soloright/api/edge"
	"soloright/quiz"
	"soloright/scoring/clearance"
)

// mostWeight is the most that a page may weigh with all that it loads, in bytes.
const mostWeight = 60 << 10

// past fills the site with what happens in a workshop: sittings of every mode,
// in every state, with every verdict.
type past struct {
	*site
	mine                                                 string // the technician's token
	qualifying, practice, failed, confirm, explained, by string
}

func newPast(t *testing.T) *past {
	p := &past{site: newSite(t)}
	p.mine = p.token[api.Technician]
	all := func(int, quiz.Item) bool { return true }
	pass := p.open(p.mine, "energy-isolation", api.Qualifying)
	p.answer(p.mine, pass, all)
	p.post("/sittings/"+pass+"/hand-in", p.mine, nil)
	void := p.open(p.mine, "mechanical-seal", api.Qualifying)
	p.post("/sittings/"+void+"/hand-in", p.mine, nil)
	p.post("/sittings/"+void+"/void", p.token[api.SafetyOfficer], url.Values{"reason": {"sat at the <wrong> bench"}})
	p.failed = p.open(p.mine, "mechanical-seal", api.Qualifying)
	p.post("/sittings/"+p.failed+"/hand-in", p.mine, nil)
	p.confirm = p.open(p.mine, "flanged-joint", api.Qualifying)
	p.missOne(p.confirm)
	p.post("/sittings/"+p.confirm+"/hand-in", p.mine, nil)
	p.by = strings.TrimPrefix(p.post("/sittings/"+p.confirm+"/confirmation", p.mine, nil), "/sittings/")
	p.explained = p.open(p.mine, "energy-isolation", api.Practice)
	p.answer(p.mine, p.explained, func(n int, _ quiz.Item) bool { return n%3 > 0 })
	p.post("/sittings/"+p.explained+"/hand-in", p.mine, nil)
	p.qualifying = p.open(p.mine, "aodd-air-side", api.Qualifying)
	p.answer(p.mine, p.qualifying, func(n int, _ quiz.Item) bool { return n%2 > 0 })
	p.practice = p.open(p.mine, "mechanical-seal", api.Practice)
	p.answer(p.mine, p.practice, func(n int, _ quiz.Item) bool { return n < 4 })
	for n := range 6 {
		p.post(fmt.Sprintf("/sittings/%s/sheets/%d/explanation", p.practice, n+1), p.mine, nil)
	}
	p.crowd()
	p.observed()
	p.notices()
	p.judged()
	p.revised()
	p.carried()
	p.panelled()
	return p
}

// missOne answers all but one sheet that tests one critical fact off isolation.
func (p *past) missOne(id string) {
	missed := false
	p.answer(p.mine, id, func(_ int, it quiz.Item) bool {
		n := 0
		for _, f := range it.Facts {
			if f.Isolation {
				n = 9
			}
			if f.Critical {
				n++
			}
		}
		if missed || n != 1 {
			return true
		}
		missed = true
		return false
	})
}

// crowd adds a crew that fills more than one page of results.
func (p *past) crowd() {
	policy := clearance.DefaultPolicy()
	policy.Tries, policy.WaitDays = 20, 0
	if _, err := p.app.SetPolicy(p.t.Context(), api.Operator(), api.SetPolicy{Procedure: "energy-isolation", Policy: policy}); err != nil {
		p.t.Fatal(err)
	}
	for i := range 6 {
		_, token := p.add(fmt.Sprintf("crew-%d", i), api.Technician)
		for range 10 {
			id := p.open(token, "energy-isolation", api.Qualifying)
			p.post("/sittings/"+id+"/hand-in", token, nil)
			p.wait(time.Second)
		}
	}
	left := true
	if _, err := p.app.ChangeAccount(p.t.Context(), api.Operator(), api.ChangeAccount{Person: p.person[api.Trainer].ID, Left: new(bool)}); err != nil {
		p.t.Fatal(err)
	}
	gone, _ := p.add("gone", api.Technician)
	if _, err := p.app.ChangeAccount(p.t.Context(), api.Operator(), api.ChangeAccount{Person: gone.ID, Left: &left}); err != nil {
		p.t.Fatal(err)
	}
	in, err := p.app.SignIn(p.t.Context(), api.SignIn{SignIn: "the-trai", Password: password})
	if err != nil {
		p.t.Fatal(err)
	}
	p.token[api.Trainer] = in.Token
}

// crawler follows every link that somebody is shown.
type crawler struct {
	*site
	token string
	seen  map[string]bool
	pages map[string]*html.Node // what was reached, by address
	parts map[string]bool       // addresses of parts of pages
	asset map[string]int        // weight of what pages load
	most  int                   // weight of the heaviest page
	heavy string
}

func (s *site) crawl(token string, from ...string) *crawler {
	s.t.Helper()
	c := &crawler{site: s, token: token, seen: map[string]bool{}, pages: map[string]*html.Node{}, parts: map[string]bool{}, asset: map[string]int{}}
	facts := 0
	for todo := from; len(todo) > 0; todo = todo[1:] {
		at, part, _ := strings.Cut(todo[0], "#")
		if part != "" {
			c.parts[todo[0]] = true
		}
		if at == "" || c.seen[at] || strings.Contains(at, "seed=") {
			continue // other samples of the same fact go on for ever
		}
		if strings.Contains(at, "fact=") {
			if facts++; testing.Short() && facts%20 != 0 {
				continue
			}
		}
		c.seen[at] = true
		todo = append(todo, c.visit(at)...)
	}
	for to := range c.parts {
		at, part, _ := strings.Cut(to, "#")
		if doc := c.pages[at]; doc != nil && !slices.ContainsFunc(elements(doc), func(n *html.Node) bool { id, _ := attr(n, "id"); return id == part }) {
			c.t.Errorf("a link leads to %s, where there is no such part", to)
		}
	}
	return c
}

// visit gets a page, checks it, and returns the links on it.
func (c *crawler) visit(at string) []string {
	c.t.Helper()
	w := c.send(http.MethodGet, at, c.token, nil)
	if to := w.Header().Get("Location"); w.Code == http.StatusSeeOther {
		if strings.HasPrefix(to, "/sign-in") && c.token != "" {
			c.t.Errorf("%s sends somebody who is signed in to %s", at, to)
		}
		return []string{to}
	}
	if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "text/html; charset=utf-8" {
		c.t.Errorf("a link leads to %s: %d %s", at, w.Code, w.Header().Get("Content-Type"))
		return nil
	}
	if w.Header().Get("Content-Security-Policy") != edge.Policy || w.Header().Get("Cache-Control") != "no-store" {
		c.t.Errorf("%s: headers %v", at, w.Header())
	}
	doc := parse(c.t, w.Body.Bytes())
	c.pages[at] = doc
	for _, wrong := range lint(doc) {
		c.t.Errorf("%s: %s", at, wrong)
	}
	c.weigh(at, w.Body.Len(), doc)
	var links []string
	for _, a := range elements(doc, "a") {
		href, _ := attr(a, "href")
		if _, file := attr(a, "download"); file {
			c.fetch(href)
			continue
		}
		links = append(links, href)
	}
	for _, f := range elements(doc, "form") {
		if method, _ := attr(f, "method"); method == "get" {
			links = append(links, c.submit(at, f)...)
		}
	}
	return links
}

// fetch takes a file that a page offers.
func (c *crawler) fetch(href string) {
	c.t.Helper()
	w := c.send(http.MethodGet, href, c.token, nil)
	if w.Code != http.StatusOK || w.Body.Len() == 0 || !strings.HasPrefix(w.Header().Get("Content-Disposition"), "attachment") {
		c.t.Errorf("the file %s: %d, %d bytes, %v", href, w.Code, w.Body.Len(), w.Header())
	}
}

// submit is where a form leads that only asks: each choice of its selects.
func (c *crawler) submit(at string, form *html.Node) []string {
	path, _, _ := strings.Cut(at, "?")
	var to []string
	for _, s := range elements(form, "select") {
		name, _ := attr(s, "name")
		for _, o := range elements(s, "option") {
			v, _ := attr(o, "value")
			to = append(to, path+"?"+url.Values{name: {v}}.Encode())
		}
	}
	return to
}

// weigh adds up what the page loads.
func (c *crawler) weigh(at string, bytes int, doc *html.Node) {
	c.t.Helper()
	for _, n := range elements(doc, "link", "script") {
		src, _ := attr(n, "src")
		if n.Data == "link" {
			src, _ = attr(n, "href")
		}
		if _, known := c.asset[src]; !known {
			w := c.send(http.MethodGet, src, "", nil)
			if w.Code != http.StatusOK || !strings.Contains(w.Header().Get("Cache-Control"), "immutable") {
				c.t.Errorf("%s loads %s: %d, %s", at, src, w.Code, w.Header().Get("Cache-Control"))
			}
			c.asset[src] = w.Body.Len()
		}
		bytes += c.asset[src]
	}
	if bytes > c.most {
		c.most, c.heavy = bytes, at
	}
	if bytes > mostWeight {
		c.t.Errorf("%s weighs %d bytes with all it loads, at most %d", at, bytes, mostWeight)
	}
}

// cautioned are the pages that show a procedure, and so its cautions.
var cautioned = regexp.MustCompile(`^/$|^/procedures/|^/sittings/|^/rebuilds/`)

// Every page that anybody is led to: not an error, sound, light, with the
// cautions where it shows a procedure.
func TestEveryPageOfEveryRole(t *testing.T) {
	p := newPast(t)
	atLeast := map[api.Role]int{api.Technician: 80, api.Trainer: 100, api.SafetyOfficer: 50, api.Administrator: 15}
	for _, r := range api.Roles {
		c := p.crawl(p.token[r], "/")
		if len(c.pages) < atLeast[r] {
			t.Errorf("a %s is led to %d pages, at least %d were expected", r, len(c.pages), atLeast[r])
		}
		for at, doc := range c.pages {
			if cautioned.MatchString(at) && !strings.Contains(textOf(doc), "Isolate, lock out and prove zero energy") {
				t.Errorf("%s shows a procedure and no cautions", at)
			}
		}
		if r == api.Technician {
			p.checkSecrets(c)
		}
		if r == api.Trainer && c.pages["/results?from=51"] == nil {
			t.Error("no link leads to the second page of results")
		}
		t.Logf("a %s is led to %d pages; the heaviest, %s, weighs %d bytes", r, len(c.pages), c.heavy, c.most)
	}
	if c := p.crawl("", "/", "/results"); len(c.pages) == 0 {
		t.Error("who is not signed in is not led to the page to sign in")
	}
}

// checkSecrets looks for what would give keys away in all pages of a technician.
func (p *past) checkSecrets(c *crawler) {
	p.t.Helper()
	shown := 0
	for at, doc := range c.pages {
		id, sheet, ok := sheetOf(at)
		if !ok {
			continue
		}
		if class(doc, "explained") && !strings.Contains(at, "/result/") {
			shown++
			if id != p.practice {
				p.t.Errorf("%s explains a sheet", at)
			}
			continue
		}
		text := textOf(doc)
		for _, secret := range secrets(p.form(id).Items[sheet-1]) {
			if strings.Contains(text, secret) {
				p.t.Errorf("%s gives away %q", at, secret)
			}
		}
	}
	if shown != 6 {
		p.t.Errorf("%d sheets are explained, 6 were asked for", shown)
	}
	for _, id := range []string{p.failed, p.confirm} {
		text := textOf(c.pages["/sittings/"+id+"/result"])
		for _, it := range p.form(id).Items {
			for _, secret := range secrets(it) {
				if strings.Contains(text, secret) {
					p.t.Errorf("the result of a qualifying sitting gives away %q", secret)
				}
			}
		}
	}
	for i, it := range p.form(p.explained).Items {
		at := fmt.Sprintf("/sittings/%s/result/sheets/%d", p.explained, i+1)
		if text := textOf(c.pages[at]); !strings.Contains(text, plain(it.Explain)) {
			p.t.Errorf("%s does not explain %s", at, it.Model)
		}
	}
}

var sheetAddress = regexp.MustCompile(`^/sittings/([a-z0-9]+)/sheets/(\d+)$`)

func sheetOf(at string) (id string, n int, ok bool) {
	m := sheetAddress.FindStringSubmatch(at)
	if m == nil {
		return "", 0, false
	}
	_, err := fmt.Sscan(m[2], &n)
	return m[1], n, err == nil
}

// secrets are the texts of an item that nobody may see before it is marked.
// Short ones may stand on a page for other reasons.
func secrets(it quiz.Item) []string {
	all := []string{plain(it.Explain), "Right: "}
	for _, f := range it.Feedback {
		all = append(all, plain(f.Text))
	}
	if it.Key.Number != nil {
		for _, m := range it.Key.Number.Mistakes {
			all = append(all, plain(m.Because))
		}
	}
	return slices.DeleteFunc(all, func(s string) bool { return len(s) < 7 })
}

func plain(s string) string { return strings.Join(strings.Fields(s), " ") }

// class reports whether an element of the page has the class.
func class(doc *html.Node, name string) bool {
	return slices.ContainsFunc(elements(doc), func(n *html.Node) bool {
		c, _ := attr(n, "class")
		return slices.Contains(strings.Fields(c), name)
	})
}
