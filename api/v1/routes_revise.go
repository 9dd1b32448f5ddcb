package v1

import "soloright/api"

const whichPart = "the place of the last line of the part before"

var reviseRoutes = []route{
	{method: "GET", path: "/procedures/:procedure/revisions", id: "revisions", summary: "Every revision of a procedure with its dates", status: 200, result: Revisions{}, errors: []int{none}, do: (*face).revisions},
	{method: "GET", path: "/procedures/:procedure/revisions/:revision/text", id: "revisionText", summary: "A revision as it was imported, to the byte", status: 200, result: RevisionText{}, errors: []int{no, none, state}, do: (*face).revisionText},
	{method: "GET", path: "/procedures/:procedure/revisions/:revision/adoption", id: "previewAdoption", summary: "What adopting a revision would do, and whom it would touch", status: 200, result: Adoption{}, errors: []int{no, none, state}, do: (*face).previewAdoption},
	{method: "POST", path: "/procedures/:procedure/revisions/:revision/adoption", id: "adopt", summary: "Put a revision in force from now on; the one in force already stays so", body: Adopt{}, status: 200, result: Adoption{}, errors: []int{no, none, state, badField}, do: (*face).adopt},
	{method: "POST", path: "/procedures/:procedure/withdrawal", id: "withdrawProcedure", summary: "Withdraw a procedure: nobody is cleared until a revision is adopted again", body: api.WithdrawProcedure{}, status: 204, errors: []int{no, none, state, badField}, do: (*face).withdrawProcedure},
	{method: "GET", path: "/procedures/:procedure/catch-up", id: "catchUp", summary: "What you have to do to stand on the revision in force; a delta sitting is opened as any other, with the mode delta", status: 200, result: CatchUp{}, errors: []int{no, none, state}, do: (*face).catchUp},
	{method: "POST", path: "/procedures/:procedure/catch-up/signature", id: "signReading", summary: "Sign, with the password given again, that you read what is not asked; signed already it is no error", body: api.SignReading{}, status: 204, errors: []int{no, none, state, badField, tooMany}, do: (*face).signReading},

	{method: "GET", path: "/policy", id: "policy", summary: "The policy of the site, or of a procedure, with every one that was set before", query: []parameter{{"procedure", "a procedure's id; by default the site's policy"}}, status: 200, result: PolicyInForce{}, errors: []int{none}, do: (*face).policy},
	{method: "PUT", path: "/policy", id: "setPolicy", summary: "Put a policy in force from now on, for the site or a procedure", body: api.SetPolicy{}, status: 200, result: PolicyInForce{}, errors: []int{no, none, badField}, do: (*face).setPolicy},

	{method: "GET", path: "/trainings", id: "trainings", summary: "Training given, the last recorded first", query: listQuery("the technician"), status: 200, result: Trainings{}, errors: []int{no, badField}, do: (*face).trainings},
	{method: "POST", path: "/trainings", id: "giveTraining", summary: "Record training given on a day; told twice it stands once", body: api.GiveTraining{}, status: 204, errors: []int{no, none, badField, state}, do: (*face).giveTraining},
	{method: "GET", path: "/appointments", id: "appointments", summary: "Appointments of assessors with what became of them, the last made first", query: listQuery("the assessor"), status: 200, result: Appointments{}, errors: []int{no, badField}, do: (*face).appointments},
	{method: "POST", path: "/appointments", id: "appoint", summary: "Let somebody assess without being cleared; the same made again is the first one", body: api.AppointAssessor{}, status: 201, result: Appointed{}, errors: []int{no, none, state, badField}, do: (*face).appoint},
	{method: "POST", path: "/appointments/:appointment/end", id: "endAppointment", summary: "End an appointment from now on", body: api.EndAppointment{}, status: 204, errors: []int{no, none, state, badField}, do: (*face).endAppointment},
	{method: "GET", path: "/exceptions", id: "exceptions", summary: "Exceptions from the training window with their reasons, the last recorded first", query: listQuery("the technician"), status: 200, result: Exceptions{}, errors: []int{no, badField}, do: (*face).exceptions},
	{method: "POST", path: "/exceptions", id: "except", summary: "Let an assessor assess somebody whom he or she trained up to today, signed with your password again", body: api.RecordException{}, status: 204, errors: []int{no, none, state, badField, tooMany}, do: (*face).except},
}

func listQuery(person string) []parameter {
	return []parameter{{"procedure", "a procedure's id"}, {"person", "the id of " + person}, {"before", whichPart}, {"limit", "how many lines, at most 1000, by default 100"}}
}
