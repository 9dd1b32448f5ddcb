package v1

import (
	"strings"

	"soloright/api"
	"soloright/quiz"
)

// wrongField is a body that is refused, and the fields that the answer must name.
type wrongField struct {
	id     string // operation
	body   string
	status int
	fields string // names with spaces between
}

const answerPath = "saveAnswer"

var wrongFields = []wrongField{
	{"signIn", `{}`, 422, "sign_in password"},
	{"signIn", `{"sign_in":"","password":"x"}`, 422, "sign_in"},
	{"signIn", `{"sign_in":"x","password":"x","agent":"mine"}`, 422, "agent"},
	{"signIn", `{"sign_in":"x\u0000","password":"x"}`, 422, "sign_in"},
	{"signIn", `{"sign_in":["x"],"password":"x"}`, 422, "sign_in"},
	{"signIn", `{"Sign_In":"x","password":"x"}`, 422, "Sign_In sign_in"},
	{"signIn", `{"sign_in":"x","sign_in":"y","password":"x"}`, 422, "sign_in"},
	{"signIn", `{"sign_in":"x","password":"x"}{}`, 400, ""},
	{"signIn", `{"sign_in":"x","password":"x"} 1`, 400, ""},
	{"signIn", `{"sign_in":"x","password":"x"`, 400, ""},
	{"signIn", `["sign_in"]`, 400, ""},
	{"signIn", `null`, 400, ""},
	{"signIn", `sign_in=x`, 400, ""},
	{"signIn", ``, 400, ""},
	{"openSitting", `{"procedure":"aodd-air-side","mode":"for fun"}`, 422, "mode"},
	{"openSitting", `{"procedure":"aodd-air-side","mode":"qualifying","build":"none such"}`, 422, "build"},
	{"openSitting", `{"procedure":"` + strings.Repeat("x", 65) + `","mode":"practice"}`, 422, "procedure"},
	{answerPath, `{"revision":1}`, 422, "answer"}, // a save without its answer must not wipe out the kept one
	{answerPath, `{"revision":1,"answer":null}`, 422, "answer"},
	{answerPath, `{"revision":1,"answer":[]}`, 422, "answer"},
	{answerPath, `{"revision":0,"answer":{}}`, 422, "revision"},
	{answerPath, `{"revision":1.5,"answer":{}}`, 422, "revision"},
	{answerPath, `{"revision":1e30,"answer":{}}`, 422, "revision"},
	{answerPath, `{"revision":"1","answer":{}}`, 422, "revision"},
	{answerPath, `{"revision":1,"answer":{},"millis":-1}`, 422, "millis"},
	{answerPath, `{"revision":1,"answer":{},"sheet":2}`, 422, "sheet"},
	{answerPath, `{"revision":1,"answer":{"option":"a"}}`, 422, "answer.option"},
	{answerPath, `{"revision":1,"answer":{"options":null}}`, 422, "answer.options"},
	{answerPath, `{"revision":1,"answer":{"options":[1]}}`, 422, "answer.options"},
	{answerPath, `{"revision":1,"answer":{"rows":["a"]}}`, 422, "answer.rows"},
	{answerPath, `{"revision":1,"answer":{"number":13.6}}`, 422, "answer.number"},
	{answerPath, `{"revision":1,"answer":{"number":"13\u0000"}}`, 422, "answer.number answer.options answer.rows"},
	{"void", `{"reason":"short"}`, 422, "reason"},
	{"void", `{"reason":"long enough\u0000"}`, 422, "reason"},
	{"addPerson", `{"sign_in":"x","name":"","role":"king"}`, 422, "sign_in name role"},
	{"addPerson", `{"sign_in":"a b","name":"A","role":"trainer"}`, 422, "sign_in"},
	{"addPerson", `{"sign_in":"ab","name":"A","role":"trainer","password":"short"}`, 422, "password"},
	{"changePerson", `{"name":"A\u0000"}`, 422, "name"},
	{"changePerson", `{"role":"king","password":""}`, 422, "role"},
	{"changePerson", `{"password":"short"}`, 422, "password"},
	{"changePerson", `{"left":"yes"}`, 422, "left"},
	{"changePerson", `{"left":null}`, 422, "left"},
}

// wrongFields sends bodies that are refused; the answer names the fields.
func (s *site) wrongFields() {
	sitting := s.open(s.token[api.Technician], api.Practice)
	samples := s.samples(sitting.ID)
	for _, w := range wrongFields {
		c := samples[w.id]
		for _, r := range routes {
			if r.id == w.id {
				c.method = r.method
			}
		}
		c.body, c.bad = w.body, true
		c.as = map[string]string{answerPath: s.token[api.Technician], "openSitting": s.token[api.Technician], "void": s.token[api.SafetyOfficer], "suspend": s.token[api.SafetyOfficer], "reinstate": s.token[api.SafetyOfficer], "withdraw": s.token[api.SafetyOfficer], "planTest": s.token[api.Trainer]}[w.id]
		if c.as == "" {
			c.as = s.token[api.Administrator]
		}
		s.named(c, w)
	}
	s.brokenFiles()
	for path, field := range map[string]string{"/procedures/aodd-air-side/items?seed=xyz": "seed", "/procedures/aodd-air-side/items?build=nosuch": "build", "/sittings?state=lost": "state"} {
		s.named(call{method: "GET", path: path, as: s.token[api.Trainer], bad: true}, wrongField{status: 422, fields: field})
	}
	if k := s.save(s.token[api.Technician], sitting.ID, 1, 1, quiz.Answer{}); !k.Applied {
		s.t.Error("something was kept of a bad body")
	}
}

// named sends a call and compares the fields that the problem names.
func (s *site) named(c call, w wrongField) {
	s.t.Helper()
	p := s.do(c, w.status).problem()
	var got []string
	for _, f := range p.Errors {
		got = append(got, f.Field)
		if f.Message == "" {
			s.t.Errorf("%s %v: field %s without a message", c.path, c.body, f.Field)
		}
	}
	if names := strings.Join(got, " "); names != w.fields && !oneOf(w, names) {
		s.t.Errorf("%s %v: names %q, want %q (%s)", c.path, c.body, names, w.fields, p.Detail)
	}
}

// oneOf: what is wrong first with an answer depends on the sheet's interaction.
func oneOf(w wrongField, name string) bool {
	return w.id == answerPath && name != "" && strings.Contains(" "+w.fields+" ", " "+name+" ")
}

// brokenFiles: every error of a file at once, each with its place and path, and
// what is served stays as it is.
func (s *site) brokenFiles() {
	text := another(s.t, "energy-isolation", "H")
	two := strings.Replace(strings.Replace(text, "\ntitle: ", "\ntitel: ", 1), "\nissued: 2024-01-15", "\nissued: yesterday", 1)
	for name, file := range map[string]string{"two errors": two, "syntax": "id: [", "empty": "", "no UTF-8": "id: \xff\xfe"} {
		c := call{method: "POST", path: "/procedures", as: s.token[api.Trainer], body: file, headers: map[string]string{"Content-Type": "application/yaml"}}
		c.bad = name == "syntax" || name == "empty" || name == "no UTF-8"
		technician := c
		technician.as = s.token[api.Technician]
		s.do(technician, 403) // whose files are not even read
		p := s.do(c, 422).problem()
		if len(p.Errors) == 0 || !strings.HasPrefix(p.Errors[0].Message, "line ") {
			s.t.Errorf("%s: %+v", name, p.Errors)
		}
		if name == "two errors" && (len(p.Errors) != 2 || p.Errors[0].Field != "titel" || p.Errors[1].Field != "issued") {
			s.t.Errorf("%s: %+v", name, p.Errors)
		}
	}
	var got Procedure
	s.do(call{method: "GET", path: "/procedures/energy-isolation", as: s.token[api.Trainer]}, 200).into(&got)
	if got.Revision == "H" {
		s.t.Error("a file with errors is served")
	}
}
