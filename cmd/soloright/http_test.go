package main

import (
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/api/store"
	"soloright/quiz"
)

// What no handler answers is answered in the face that was asked: a page under
// pages, a problem document under /api/v1.
func TestWhatIsNotThere(t *testing.T) {
	f := newFaces(t, store.Config{Folder: t.TempDir(), Careless: true}, nil)
	for _, path := range []string{"/nowhere", "/people/", "/static", "/api", "/%ff"} {
		text := wantPage(t, path, f.send("GET", path, "", ""), 404)
		if !strings.Contains(text, "There is nothing at this address") {
			t.Errorf("%s says %q", path, text)
		}
	}
	for _, path := range []string{"/api/v1/nowhere", "/api/v1", "/api/v1/me/", "/api/v1/sittings/%00"} {
		wantProblem(t, path, f.send("GET", path, "", ""), 404)
	}
	w := f.send("DELETE", "/results", "", "")
	wantPage(t, "DELETE /results", w, 405)
	if got := w.Header().Get("Allow"); got != "GET, HEAD" {
		t.Errorf("DELETE /results: Allow %q", got)
	}
	w = f.send("PATCH", "/api/v1/session", "{}", "")
	wantProblem(t, "PATCH /api/v1/session", w, 405)
	if got := w.Header().Get("Allow"); got != "POST, DELETE" {
		t.Errorf("PATCH /api/v1/session: Allow %q", got)
	}
	wantPage(t, "bad query", f.send("GET", "/sign-in?to=%zz", "", ""), 400)
}

// A request that changes something and comes from a page of another site is
// refused in the face that it was sent to, before anything is read.
func TestFromAnotherSite(t *testing.T) {
	f := newFaces(t, store.Config{Folder: t.TempDir(), Careless: true}, nil)
	token := f.signIn("one")
	id := f.open(token, api.Practice)
	for _, path := range []string{"/sign-in", "/sign-out", "/sittings", "/sittings/" + id + "/hand-in", "/sittings/" + id + "/sheets/1", "/people", "/account/sign-out-everywhere"} {
		text := wantPage(t, path, f.send("POST", path, "a=b", token, "Sec-Fetch-Site", "cross-site"), 403)
		if !strings.Contains(text, "another site") {
			t.Errorf("%s says %q", path, text)
		}
	}
	for _, path := range []string{"/api/v1/session", "/api/v1/sittings/" + id + "/hand-in"} {
		p := wantProblem(t, path, f.send("POST", path, "{}", token, "Origin", "http://elsewhere.example"), 403)
		if !strings.HasSuffix(p.Type, "/cross-origin") || p.ID == "" {
			t.Errorf("%s: %+v", path, p)
		}
	}
	if w := f.send("GET", "/sittings/"+id, "", token); w.Code != 200 {
		t.Errorf("after what was refused the sitting gives %d", w.Code)
	}
}

// A panic in either face: 500, a fixed text, the details in the log only, under
// the id that the answer has too.
func TestPanicInAFace(t *testing.T) {
	f := newFaces(t, store.Config{Folder: t.TempDir(), Careless: true}, nil)
	boom := func(*gin.Context) { panic("a secret of the house") }
	f.engine().GET("/boom", boom)
	f.engine().GET("/api/v1/boom", boom)
	page := f.send("GET", "/boom", "", "")
	text := wantPage(t, "/boom", page, 500)
	problem := f.send("GET", "/api/v1/boom", "", "")
	wantProblem(t, "/api/v1/boom", problem, 500)
	for _, body := range []string{text, problem.Body.String()} {
		if strings.Contains(body, "secret") || !strings.Contains(body, "Nothing acknowledged is lost") {
			t.Errorf("the answer to a panic is %q", body)
		}
	}
	for _, w := range []http.Header{page.Header(), problem.Header()} {
		if id := w.Get("X-Request-Id"); !strings.Contains(f.log.String(), "id="+id) {
			t.Errorf("request %s is not in the log", id)
		}
	}
	if !strings.Contains(text, page.Header().Get("X-Request-Id")) {
		t.Error("the page does not show its request id")
	}
}

// Somebody else's sitting is not there, whatever is asked of it.
func TestSomebodyElsesSittingInThePages(t *testing.T) {
	f := newFaces(t, store.Config{Folder: t.TempDir(), Careless: true}, nil)
	id := f.open(f.signIn("one"), api.Practice)
	other := f.signIn("two")
	for _, path := range []string{"", "/sheets/1", "/review", "/result"} {
		wantPage(t, path, f.send("GET", "/sittings/"+id+path, "", other), 404)
	}
	for _, path := range []string{"/sheets/1", "/sheets/1/explanation", "/hand-in", "/confirmation"} {
		wantPage(t, path, f.send("POST", "/sittings/"+id+path, "revision=0&option=a&go=next", other), 404)
	}
	wantPage(t, "void", f.send("POST", "/sittings/"+id+"/void", "reason=long+enough+it+is", other), 403)
	if kept := f.record.answers(id); len(kept) > 0 {
		t.Errorf("kept of it: %v", kept)
	}
}

// posted is an answer as the controls of a sheet post it.
func posted(it quiz.Item, a quiz.Answer, revision int64) url.Values {
	v := url.Values{"revision": {fmt.Sprint(revision)}, "go": {"next"}}
	switch it.Interaction.Kind {
	case quiz.Order, quiz.Sequence:
		for i, id := range a.Options {
			v.Set("place."+id, fmt.Sprint(i+1))
		}
	case quiz.Match:
		for row, bin := range a.Rows {
			v.Set("row."+row, bin)
		}
	default:
		v["option"] = a.Options
		v.Set("number", a.Number)
	}
	return v
}

// An answer that comes too late: 409, the state, a way to the result, and what
// was kept stays as it is.
func TestLateAnswersInThePages(t *testing.T) {
	f := newFaces(t, store.Config{Folder: t.TempDir(), Careless: true}, nil)
	for _, end := range []string{"hand in", "time"} {
		f.wait(24 * time.Hour) // the try before was not passed
		token := f.signIn("one")
		id := f.open(token, api.Qualifying)
		items := f.record.form(id).Items
		right, err := quiz.RightAnswer(items[0])
		if err != nil {
			t.Fatal(err)
		}
		sheet := "/sittings/" + id + "/sheets/1"
		if w := f.send("POST", sheet, posted(items[0], right, 0).Encode(), token); w.Code != 303 {
			t.Fatalf("keep: %d %s", w.Code, w.Body)
		}
		kept := f.record.answers(id)
		if len(kept) != 1 || kept[1] != string(right.Canonical()) {
			t.Fatalf("kept %v, want %s", kept, right.Canonical())
		}
		switch end {
		case "hand in":
			f.send("POST", "/sittings/"+id+"/hand-in", "", token)
		case "time":
			f.wait(4 * time.Hour)
		}
		w := f.send("POST", sheet, posted(items[0], quiz.Answer{Options: []string{"a"}}, 5).Encode(), token)
		text := wantPage(t, end, w, 409)
		if !strings.Contains(text, "State: marked") || !strings.Contains(w.Body.String(), `href="/sittings/`+id+`/result"`) {
			t.Errorf("%s: the page says %q", end, text)
		}
		if got := f.handed(id); got != kept[1] {
			t.Errorf("%s: the record has %s, want %s", end, got, kept[1])
		}
		if w := f.send("GET", sheet, "", token); w.Code != 303 || w.Header().Get("Location") != "/sittings/"+id+"/result" {
			t.Errorf("%s: the sheet gives %d to %q", end, w.Code, w.Header().Get("Location"))
		}
	}
}

// A malformed answer: 422 and a message on the sheet, nothing of it kept.
func TestMalformedAnswersInThePages(t *testing.T) {
	f := newFaces(t, store.Config{Folder: t.TempDir(), Careless: true}, nil)
	token := f.signIn("one")
	id := f.open(token, api.Practice)
	for i, it := range f.record.form(id).Items {
		v := url.Values{"revision": {"0"}, "go": {"next"}, "option": {"no-such"}}
		switch it.Interaction.Kind {
		case quiz.Numeric:
			v = url.Values{"revision": {"0"}, "number": {"about twelve"}}
		case quiz.Match:
			v = url.Values{"revision": {"0"}, "row." + it.Interaction.Rows[0].ID: {"nowhere"}}
		case quiz.Order, quiz.Sequence:
			v = url.Values{"revision": {"0"}, "place." + it.Interaction.Options[0].ID: {"99"}}
		}
		text := wantPage(t, it.Model, f.send("POST", fmt.Sprintf("/sittings/%s/sheets/%d", id, i+1), v.Encode(), token), 422)
		if !strings.Contains(text, "Nothing of it was kept.") {
			t.Errorf("sheet %d (%s) does not say that nothing was kept", i+1, it.Model)
		}
	}
	sheet := "/sittings/" + id + "/sheets/1"
	wantPage(t, "no revision", f.send("POST", sheet, "option=a&row.a=a&place.a=1&number=1", token), 400)
	wantPage(t, "too large", f.send("POST", sheet, "number="+strings.Repeat("1", edge.MaxBody), token), 413)
	wantPage(t, "unreadable", f.send("POST", sheet, "a=%zz", token), 400)
	wantPage(t, "a file", f.send("POST", sheet, "--x\r\n", token, "Content-Type", "multipart/form-data; boundary=x"), 415)
	if kept := f.record.answers(id); len(kept) > 0 {
		t.Errorf("kept of malformed answers: %v", kept)
	}
}

// A page that is older than what is kept does not put its answer over it, and
// says so.
func TestTheOlderPageSaysSo(t *testing.T) {
	f := newFaces(t, store.Config{Folder: t.TempDir(), Careless: true}, nil)
	token := f.signIn("one")
	id := f.open(token, api.Practice)
	it := f.record.form(id).Items[0]
	right, err := quiz.RightAnswer(it)
	if err != nil {
		t.Fatal(err)
	}
	sheet := "/sittings/" + id + "/sheets/1"
	f.send("POST", sheet, posted(it, right, 0).Encode(), token)
	before := f.record.answers(id)
	wrong := posted(it, quiz.Answer{}, 0)
	text := wantPage(t, "older page", f.send("POST", sheet, wrong.Encode(), token), 409)
	if !strings.Contains(text, "older than the answer shown here") {
		t.Errorf("the older page is told %q", text)
	}
	if got := f.record.answers(id); !maps.Equal(got, before) || len(got) != 1 {
		t.Errorf("kept %v, before %v", got, before)
	}
}
