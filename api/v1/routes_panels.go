package v1

import "soloright/api"

var panelRoutes = []route{
	{method: "GET", path: "/panels", id: "panels", summary: "Every Angoff panel, the newest first", status: 200, result: Panels{}, errors: []int{no}, do: (*face).panels},
	{method: "POST", path: "/panels", id: "openPanel", summary: "Open a panel on a procedure's revision in force; you are its chair", body: api.OpenPanel{}, status: 201, result: Panel{}, errors: []int{no, none, state, badField}, do: (*face).openPanel},
	{method: "GET", path: "/panels/:panel", id: "panel", summary: "A panel with its rounds; what others said in a round is there once your own ratings are in, or the round is ended", status: 200, result: PanelView{}, errors: []int{no, none, state}, do: (*face).panel},
	{method: "PUT", path: "/panels/:panel/ratings", id: "rateItems", summary: "Hand in your ratings of the open round: of each item in order, how many of a hundred who are just good enough get it right", body: api.RateItems{}, status: 200, result: PanelView{}, errors: []int{no, none, state, badField}, do: (*face).rateItems},
	{method: "POST", path: "/panels/:panel/end", id: "endRound", summary: "End the open round, and with close the panel; for its chair; the same end told twice is no error", body: api.EndRound{}, status: 200, result: PanelView{}, errors: []int{no, none, state, badField}, do: (*face).endRound},
	{method: "POST", path: "/panels/:panel/adoption", id: "adoptCut", summary: "Put the cut that a closed panel found in force as the procedure's; adopted already it is no error", status: 200, result: PolicyInForce{}, errors: []int{no, none, state}, do: (*face).adoptCut},
}
