package v1

import "soloright/api"

var sureRoutes = []route{
	{method: "GET", path: "/sittings/:sitting/risk", id: "risk", summary: "How sure one qualifying result is: the chance that less than the cut is held, with intervals", status: 200, result: Risk{}, errors: []int{no, none, state}, do: (*face).risk},
	{method: "GET", path: "/sittings/:sitting/mastery", id: "mastery", summary: "Whether your practice sitting has made it clear either way, by Wald's sequential test; critical facts stand outside it", status: 200, result: Mastery{}, errors: []int{no, none, state}, do: (*face).mastery},
	{method: "GET", path: "/procedures/:procedure/sureness", id: "sureness", summary: "How surely a procedure's forms tell who holds it: dependability, and decision consistency by the total alone", status: 200, result: Sureness{}, errors: []int{no, none}, do: (*face).sureness},
	{method: "POST", path: "/test-plans", id: "planTest", summary: "The shortest test that keeps to two risks within the tries allowed, exactly; nothing is kept", body: api.PlanLength{}, status: 200, result: TestPlan{}, errors: []int{no, badField}, do: (*face).planTest},
}
