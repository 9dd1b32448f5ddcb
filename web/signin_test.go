package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"soloright/api"
)

// After signing in one comes back to where one was, never to another host.
func TestWhereSigningInLeads(t *testing.T) {
	for to, want := range map[string]string{
		"": "/", "/": "/", "/results?from=51": "/results?from=51", "/sittings/x/sheets/3": "/sittings/x/sheets/3",
		"//elsewhere.example": "/", "/\\elsewhere.example": "/", "\\/elsewhere.example": "/", "https://elsewhere.example/": "/", "elsewhere": "/", "/a\r\nSet-Cookie: x": "/", "javascript:x": "/",
		"/\t/elsewhere.example": "/", "/\x0b/x": "/",
	} {
		if got := inside(to); got != want {
			t.Errorf("%q leads to %q, want %q", to, got, want)
		}
	}
}

func TestSigningInAndOut(t *testing.T) {
	s := newSite(t)
	w := s.send(http.MethodGet, "/people?from=2", "", nil)
	if to := w.Header().Get("Location"); w.Code != http.StatusSeeOther || to != "/sign-in?to="+url.QueryEscape("/people?from=2") {
		t.Errorf("who is not signed in: %d to %q", w.Code, to)
	}
	form := url.Values{"sign_in": {"the-trai"}, "password": {"not the right one"}, "to": {"/people"}}
	w = s.send(http.MethodPost, "/sign-in", "", form)
	if text := textOf(parse(t, w.Body.Bytes())); w.Code != http.StatusUnauthorized || !strings.Contains(text, "do not belong together") || len(w.Result().Cookies()) > 0 {
		t.Errorf("a wrong password: %d %s", w.Code, text)
	}
	if body := w.Body.String(); !strings.Contains(body, `value="the-trai"`) || strings.Contains(body, "not the right one") || !strings.Contains(body, `value="/people"`) {
		t.Error("the page keeps the name and the way back, and never the password")
	}
	form.Set("password", password)
	w = s.send(http.MethodPost, "/sign-in", "", form)
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/people" || len(w.Result().Cookies()) != 1 {
		t.Fatalf("signed in: %d %v", w.Code, w.Header())
	}
	token := w.Result().Cookies()[0].Value
	if w = s.send(http.MethodGet, "/people", token, nil); w.Code != http.StatusOK {
		t.Errorf("signed in, and %d", w.Code)
	}
	w = s.send(http.MethodPost, "/sign-out", token, nil)
	if ended := w.Result().Cookies(); len(ended) != 1 || ended[0].MaxAge >= 0 {
		t.Errorf("signing out leaves the cookie: %v", w.Header())
	}
	if w = s.send(http.MethodGet, "/people", token, nil); w.Code != http.StatusSeeOther {
		t.Errorf("the session goes on after signing out: %d", w.Code)
	}
	// A form that is sent without a session says so where it is and loses no page.
	if w = s.send(http.MethodPost, "/sittings", token, url.Values{"procedure": {"aodd-air-side"}, "mode": {"practice"}}); w.Code != http.StatusUnauthorized {
		t.Errorf("a form without a session: %d", w.Code)
	}
}

func TestSigningOutEverywhere(t *testing.T) {
	s := newSite(t)
	first := s.token[api.Technician]
	in, err := s.app.SignIn(t.Context(), api.SignIn{SignIn: "the-tech", Password: password})
	if err != nil {
		t.Fatal(err)
	}
	s.post("/account/sign-out-everywhere", in.Token, nil)
	for _, token := range []string{first, in.Token} {
		if w := s.send(http.MethodGet, "/", token, nil); w.Code != http.StatusSeeOther {
			t.Errorf("a session outlives it: %d", w.Code)
		}
	}
}

// pageText sends a form that is answered by a page, and returns its text.
func (s *site) pageText(path, token string, form url.Values, status int) (string, *httptest.ResponseRecorder) {
	s.t.Helper()
	w := s.send(http.MethodPost, path, token, form)
	doc := parse(s.t, w.Body.Bytes())
	if w.Code != status {
		s.t.Errorf("POST %s: %d, want %d: %s", path, w.Code, status, textOf(doc))
	}
	for _, wrong := range lint(doc) {
		s.t.Errorf("POST %s: %s", path, wrong)
	}
	return textOf(doc), w
}

func TestKeepingPeople(t *testing.T) {
	s := newSite(t)
	admin := s.token[api.Administrator]
	fresh := url.Values{"name": {"Fresh <i>Hand</i>"}, "sign_in": {"fresh"}, "role": {"technician"}, "crew": {"night"}, "password": {password}}
	s.post("/people", admin, fresh)
	w := s.send(http.MethodGet, "/people", admin, nil)
	if body := w.Body.String(); !strings.Contains(body, "Fresh &lt;i&gt;Hand&lt;/i&gt;") || strings.Contains(body, "<i>") {
		t.Error("the new person is not listed, or the name is not escaped")
	}
	text, _ := s.pageText("/people", admin, fresh, http.StatusConflict)
	if !strings.Contains(text, "fresh is taken") {
		t.Errorf("a name twice: %s", text)
	}
	fresh.Set("password", "short")
	fresh.Set("sign_in", "other")
	if text, _ = s.pageText("/people", admin, fresh, http.StatusUnprocessableEntity); !strings.Contains(text, "at least 10 characters") {
		t.Errorf("a short password: %s", text)
	}
	id := s.person[api.Technician].ID
	tech := s.token[api.Technician]
	for _, change := range []url.Values{{"change": {"role"}, "role": {"trainer"}}, {"change": {"password"}, "password": {"another-long-one"}}, {"change": {"left"}, "left": {"yes"}}, {"change": {"left"}, "left": {"no"}}} {
		if to := s.post("/people/"+id, admin, change); to != "/people/"+id {
			t.Errorf("%v leads to %s", change, to)
		}
	}
	if w := s.send(http.MethodGet, "/", tech, nil); w.Code != http.StatusSeeOther {
		t.Errorf("a changed account keeps its session: %d", w.Code)
	}
	if text, _ = s.pageText("/people/"+id, admin, url.Values{"change": {"role"}, "role": {"king"}}, http.StatusUnprocessableEntity); !strings.Contains(text, "must be one of") {
		t.Errorf("an unknown role: %s", text)
	}
	s.pageText("/people/"+id, admin, url.Values{}, http.StatusBadRequest)
	s.pageText("/people/nosuch", admin, url.Values{"change": {"left"}}, http.StatusNotFound)
	s.pageText("/people", s.token[api.Trainer], url.Values{"name": {"A"}, "sign_in": {"ab"}, "role": {"trainer"}}, http.StatusForbidden)
}

func TestPagesThatAreNotThere(t *testing.T) {
	s := newSite(t)
	trainer := s.token[api.Trainer]
	for _, path := range []string{
		"/procedures/nosuch", "/procedures/nosuch/items", "/procedures/aodd-air-side/items?topic=nosuch", "/procedures/aodd-air-side/items?fact=nosuch",
		"/procedures/aodd-air-side/items?from=0", "/procedures/aodd-air-side/items?from=9999", "/results?from=x", "/people/nosuch",
		"/sittings/nosuch", "/sittings/nosuch/result", "/sittings/nosuch/result/sheets/1", "/sittings/nosuch/sheets/x",
	} {
		w := s.send(http.MethodGet, path, trainer, nil)
		doc := parse(t, w.Body.Bytes())
		if w.Code != http.StatusNotFound || len(lint(doc)) > 0 {
			t.Errorf("GET %s: %d, %v", path, w.Code, lint(doc))
		}
	}
	for path, who := range map[string]api.Role{"/procedures/aodd-air-side/items": api.Technician, "/results": api.Technician, "/people": api.Technician} {
		if w := s.send(http.MethodGet, path, s.token[who], nil); w.Code != http.StatusForbidden {
			t.Errorf("GET %s by a %s: %d", path, who, w.Code)
		}
	}
	open := s.open(s.token[api.Technician], "aodd-air-side", api.Qualifying)
	text := textOf(parse(t, s.send(http.MethodGet, "/sittings/"+open, trainer, nil).Body.Bytes()))
	if !strings.Contains(text, "still open") {
		t.Errorf("somebody else's open sitting says %q", text)
	}
	s.post("/sittings/"+open+"/hand-in", s.token[api.Technician], nil)
	w := s.send(http.MethodGet, "/sittings/"+open+"/result/sheets/1", s.token[api.Technician], nil)
	if w.Code != http.StatusNotFound {
		t.Errorf("the sheets of a qualifying sitting are shown after it: %d", w.Code)
	}
}
