package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/store"
	"soloright/api/store/storetest"
	"soloright/api/testenv"
	"soloright/quiz"
)

// exam is one qualifying sitting that is answered through both faces in turn,
// and what the server has acknowledged of it.
type exam struct {
	*faces
	token, id    string
	form         quiz.Form
	acknowledged map[int]string
}

func (f *faces) exam() *exam {
	f.t.Helper()
	x := &exam{faces: f, token: f.signIn("one"), acknowledged: map[int]string{}}
	for try := 0; x.id == "" && try < 50; try++ {
		s, err := f.app.OpenSitting(f.t.Context(), api.Bearer(x.token), api.OpenSitting{Procedure: "aodd-air-side", Mode: api.Qualifying})
		if err != nil && api.KindOf(err) != api.Unavailable {
			f.t.Fatal(err)
		}
		x.id = s.ID
	}
	x.form = f.record.form(x.id)
	return x
}

// try sends the answer of one sheet, through the pages where n is even, and
// reports whether it was acknowledged. Anything but that or a 503 in the words
// of the face fails the test.
func (x *exam) try(n int) bool {
	x.t.Helper()
	it := x.form.Items[n-1]
	right, err := quiz.RightAnswer(it)
	if err != nil {
		x.t.Fatal(err)
	}
	var w *httptest.ResponseRecorder
	ok := 200
	if n%2 == 0 {
		ok = 303
		w = x.send("POST", fmt.Sprintf("/sittings/%s/sheets/%d", x.id, n), posted(it, right, 0).Encode(), x.token)
	} else {
		body, err := json.Marshal(api.SaveAnswer{Revision: 1, Answer: right})
		if err != nil {
			x.t.Fatal(err)
		}
		w = x.send("PUT", fmt.Sprintf("/api/v1/sittings/%s/sheets/%d/answer", x.id, n), string(body), x.token)
	}
	if w.Code == ok {
		x.acknowledged[n] = string(right.Canonical())
		return true
	}
	x.wantLost(fmt.Sprintf("sheet %d", n), w)
	return false
}

// wantLost fails unless the answer is a 503 that says when to come back and that
// nothing acknowledged is lost, in the face's own form.
func (x *exam) wantLost(what string, w *httptest.ResponseRecorder) {
	x.t.Helper()
	if got := w.Header().Get("Retry-After"); got != "5" {
		x.t.Errorf("%s: Retry-After %q", what, got)
	}
	if strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
		if text := wantPage(x.t, what, w, 503); !strings.Contains(text, "Nothing that was shown as kept is lost") {
			x.t.Errorf("%s: the page says %q", what, text)
		}
		return
	}
	wantProblem(x.t, what, w, 503)
}

// checkKept compares what is kept with what was acknowledged.
func (x *exam) checkKept() {
	x.t.Helper()
	if kept := x.record.answers(x.id); !maps.Equal(kept, x.acknowledged) {
		x.t.Errorf("kept %v, acknowledged %v", kept, x.acknowledged)
	}
}

// A PostgreSQL that is stopped, or crashes, in the middle of a sitting: both faces
// say so, and when it is back the server goes on by itself with every
// acknowledged answer.
func TestTheDatabaseIsLost(t *testing.T) {
	pg := testenv.StartPostgreSQL(t)
	x := newFaces(t, store.Config{URL: pg.DSN()}, nil).exam()
	n := 1
	for _, end := range []func(){pg.Stop, pg.Crash} {
		for range 6 {
			if !x.try(n) {
				t.Fatalf("sheet %d was not acknowledged", n)
			}
			n++
		}
		end()
		for range 2 { // the first request finds dead connections, the second none
			for _, path := range []string{"/", "/sittings/" + x.id, "/account"} {
				x.wantLost(path, x.send("GET", path, "", x.token))
			}
			x.wantLost("me", x.send("GET", "/api/v1/me", "", x.token))
			if x.try(n) || x.try(n+1) {
				t.Error("an answer was acknowledged without a database")
			}
			wantPage(t, "sign in", x.send("GET", "/sign-in", "", ""), 200)
		}
		pg.Start()
		x.comeBack()
		x.checkKept()
	}
	x.finish(n)
}

// comeBack asks until the server answers again.
func (x *exam) comeBack() {
	x.t.Helper()
	for range 100 {
		w := x.send("GET", "/api/v1/me", "", x.token)
		if w.Code == 200 {
			return
		}
		x.wantLost("me", w)
		time.Sleep(50 * time.Millisecond)
	}
	x.t.Fatal("the server did not find its database again")
}

// finish answers the rest, hands in and reads the result.
func (x *exam) finish(from int) {
	x.t.Helper()
	for n := from; n <= len(x.form.Items); n++ {
		for try := 0; !x.try(n); try++ {
			if try > 50 {
				x.t.Fatalf("sheet %d is never acknowledged", n)
			}
		}
	}
	x.checkKept()
	for range 50 {
		if w := x.send("POST", "/sittings/"+x.id+"/hand-in", "", x.token); w.Code == 303 {
			break
		}
	}
	for range 50 {
		w := x.send("GET", "/sittings/"+x.id+"/result", "", x.token)
		if w.Code == 503 {
			continue
		}
		if text := wantPage(x.t, "result", w, 200); !strings.Contains(text, "Passed") {
			x.t.Errorf("the result is %.200q", text)
		}
		return
	}
	x.t.Error("there is never a result")
}

// The embedded database cannot be stopped, so its failures are made in front of
// it: not reached, lost before and after the commit, run again for no reason.
func TestATroubledStoreKeepsWhatWasAcknowledged(t *testing.T) {
	var hostile *storetest.HostileStore
	f := newFaces(t, store.Config{Folder: t.TempDir(), Careless: true}, func(s api.Store) api.Store {
		hostile = storetest.Hostile(s, 20260302)
		return hostile
	})
	f.exam().finish(1)
	for _, trouble := range []storetest.Trouble{storetest.Unreached, storetest.LostBefore, storetest.LostAfter, storetest.RunAgain} {
		if hostile.Seen[trouble] == 0 {
			t.Errorf("the store never made the trouble %q", trouble)
		}
	}
}
