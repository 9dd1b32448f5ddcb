package v1

import "soloright/api"

var (
	whichItem    = []parameter{{"fact", "the fact's id"}, {"model", "the item model's name"}}
	whichSubject = []parameter{{"fact", "the fact's id"}, {"model", "the item model's name"}, {"item", "one item's id; by default every item of the model on the fact"}, {"revision", "by default every revision"}}
)

var healthRoutes = []route{
	{method: "GET", path: "/procedures/:procedure/health", id: "itemsHealth", summary: "How the items of a procedure do, the worst first; worked out in the background, so the first answer may hold progress alone", query: []parameter{{"from", "the first family, counted from 1"}, {"limit", "how many families, at most 1000, by default 100"}}, status: 200, result: ItemsHealth{}, errors: []int{no, none, state, badField}, do: (*face).itemsHealth},
	{method: "POST", path: "/procedures/:procedure/health/analysis", id: "analyseItems", summary: "Work it out again now, in the background; one that is under way goes on", status: 202, result: api.HealthProgress{}, errors: []int{no}, do: (*face).analyseItems},
	{method: "GET", path: "/procedures/:procedure/health/item", id: "itemHealth", summary: "One item model on one fact: figures, flags, who takes which answer, the items answered most often", query: whichItem, status: 200, result: ItemHealth{}, errors: []int{no, none, state}, do: (*face).itemHealth},
	{method: "GET", path: "/procedures/:procedure/withdrawals", id: "itemWithdrawals", summary: "What was withdrawn of a procedure's items, and taken up again", status: 200, result: ItemWithdrawals{}, errors: []int{no, none}, do: (*face).withdrawals},
	{method: "POST", path: "/procedures/:procedure/withdrawals", id: "withdrawItem", summary: "Withdraw an item model on a fact, or one item: no form writes it from now on", body: Withdraw{}, status: 201, result: api.Withdrawal{}, errors: []int{no, none, state, badField}, do: (*face).withdrawItem},
	{method: "POST", path: "/procedures/:procedure/withdrawals/end", id: "takeUpItem", summary: "Take a withdrawn item up again", body: Withdraw{}, status: 201, result: api.Withdrawal{}, errors: []int{no, none, state, badField}, do: (*face).takeUpItem},
	{method: "GET", path: "/procedures/:procedure/re-marking", id: "previewRemark", summary: "Who would pass or fail, and whose standing would change, if sittings were marked again without a withdrawn item", query: whichSubject, status: 200, result: Remark{}, errors: []int{no, none, state, badField}, do: (*face).previewRemark},
	{method: "POST", path: "/procedures/:procedure/re-marking", id: "remark", summary: "Mark sittings again without a withdrawn item, as the preview showed it", body: RemarkCommand{}, status: 200, result: Remark{}, errors: []int{no, none, state, badField}, do: (*face).remark},
}
