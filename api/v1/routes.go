package v1

import (
	_ "embed"
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"soloright/api"
)

// route is one operation: the table below registers the handlers, and the
// OpenAPI document is made from it.
type route struct {
	method, path string
	id           string // operationId
	summary      string
	open         bool // no session needed
	fixed        bool // answered without the database
	query        []parameter
	body         any    // a value of the request's type; nil for none
	text         bool   // the body is a file, as text
	gives        string // the media type of the answer where it is a file; "" for JSON
	status       int
	result       any   // a value of the response's type; nil for none
	also         int   // a second status with the same result; 0 for none
	errors       []int // statuses of its own; those that go with its form (a body, a query) come by themselves
	do           func(*face, *gin.Context) error
}

type parameter struct{ name, what string }

const (
	no       = http.StatusForbidden
	none     = http.StatusNotFound
	state    = http.StatusConflict
	badField = http.StatusUnprocessableEntity
	tooMany  = http.StatusTooManyRequests
)

// routes are all of them; each subject has a list of its own.
var routes = slices.Concat(
	documentRoutes,
	sessionRoutes,
	procedureRoutes,
	sittingRoutes,
	peopleRoutes,
	registerRoutes,
	rebuildRoutes,
	evidenceRoutes,
	lessonRoutes,
	ledgerRoutes,
	reviseRoutes,
	sureRoutes,
	panelRoutes,
	healthRoutes,
)

var documentRoutes = []route{
	{method: "GET", path: "/openapi.json", id: "openAPI", summary: "This document", open: true, fixed: true, status: 200, do: (*face).openAPI},
}

var sessionRoutes = []route{
	{method: "POST", path: "/session", id: "signIn", summary: "Sign in; the token goes into Authorization: Bearer", open: true, body: api.SignIn{}, status: 201, result: Session{}, errors: []int{badField}, do: (*face).signIn},
	{method: "DELETE", path: "/session", id: "signOut", summary: "Sign out", open: true, status: 204, do: (*face).signOut},
	{method: "GET", path: "/me", id: "me", summary: "Your account and sessions", status: 200, result: Me{}, do: (*face).me},
}

var procedureRoutes = []route{
	{method: "GET", path: "/procedures", id: "procedures", summary: "The current revision of every procedure", status: 200, result: Procedures{}, do: (*face).procedures},
	{method: "POST", path: "/procedures", id: "importProcedure", summary: "Put a procedure revision, a YAML file, into the record", text: true, status: 201, also: 200, result: Imported{}, errors: []int{no, state, badField}, do: (*face).importProcedure},
	{method: "GET", path: "/procedures/:procedure", id: "procedure", summary: "A procedure with its steps and facts", query: []parameter{{"revision", "the revision; by default the current one"}}, status: 200, result: Procedure{}, errors: []int{none}, do: (*face).procedure},
	{method: "GET", path: "/procedures/:procedure/items", id: "items", summary: "Every fact with sample items and their keys, for trainers", query: []parameter{{"revision", "the revision; by default the current one"}, {"build", "the build"}, {"seed", "hex digits that choose the samples"}}, status: 200, result: Preview{}, errors: []int{no, none, badField}, do: (*face).items},
}

var sittingRoutes = []route{
	{method: "GET", path: "/sittings", id: "sittings", summary: "Your sittings, newest first; with person=ID or person=all others' too, for who may", query: []parameter{{"person", "a person's id, or all"}, {"procedure", "a procedure's id"}, {"state", "open, handed in, marked or void"}}, status: 200, result: Sittings{}, errors: []int{no, badField}, do: (*face).sittings},
	{method: "POST", path: "/sittings", id: "openSitting", summary: "Open a sitting, or go on with the one that is open", body: api.OpenSitting{}, status: 201, result: Sitting{}, errors: []int{no, none, state, badField}, do: (*face).openSitting},
	{method: "GET", path: "/sittings/:sitting", id: "sitting", summary: "A sitting with its sheet list", status: 200, result: SittingView{}, errors: []int{no, none}, do: (*face).sitting},
	{method: "GET", path: "/sittings/:sitting/sheets/:sheet", id: "sheet", summary: "One sheet of your open sitting, with the kept answer", status: 200, result: Sheet{}, errors: []int{no, none, state}, do: (*face).sheet},
	{method: "PUT", path: "/sittings/:sitting/sheets/:sheet/answer", id: "saveAnswer", summary: "Keep an answer; acknowledged only when durable", body: api.SaveAnswer{}, status: 200, result: Kept{}, errors: []int{no, none, state, badField}, do: (*face).saveAnswer},
	{method: "POST", path: "/sittings/:sitting/sheets/:sheet/explanation", id: "explain", summary: "Practice only: fix the answer and explain it", status: 200, result: Explained{}, errors: []int{no, none, state}, do: (*face).explain},
	{method: "POST", path: "/sittings/:sitting/hand-in", id: "handIn", summary: "Hand in; twice is no error", status: 200, result: Sitting{}, errors: []int{no, none}, do: (*face).handIn},
	{method: "GET", path: "/sittings/:sitting/result", id: "result", summary: "The result of a marked sitting", status: 200, result: Result{}, errors: []int{none, state}, do: (*face).result},
	{method: "POST", path: "/sittings/:sitting/confirmation", id: "confirm", summary: "Begin the confirming step", status: 201, result: Sitting{}, errors: []int{no, none, state}, do: (*face).confirm},
	{method: "POST", path: "/sittings/:sitting/void", id: "void", summary: "Strike a sitting out, with a reason", body: api.VoidCommand{}, status: 204, errors: []int{no, none, state, badField}, do: (*face).void},
}

var peopleRoutes = []route{
	{method: "GET", path: "/people", id: "people", summary: "Everybody, by name", status: 200, result: People{}, errors: []int{no}, do: (*face).people},
	{method: "POST", path: "/people", id: "addPerson", summary: "Add an account", body: api.AddAccount{}, status: 201, result: Person{}, errors: []int{no, state, badField}, do: (*face).addPerson},
	{method: "PATCH", path: "/people/:person", id: "changePerson", summary: "Change an account; a new password or role ends the person's sessions", body: api.ChangeAccount{}, status: 200, result: Person{}, errors: []int{no, none, badField}, do: (*face).changePerson},
}

//go:embed openapi.json
var document []byte

// openAPI sends the document. It is made from the table and the types by a test
// with -update, and the same test finds it out of date.
func (f *face) openAPI(c *gin.Context) error {
	c.Data(http.StatusOK, "application/json", document)
	return nil
}
