package v1

import "soloright/api"

var evidenceRoutes = []route{
	{method: "GET", path: "/people/:person/standings/:procedure/evidence", id: "evidence", summary: "The whole trail of a clearance, with a proof of each entry of the ledger: your own, or anybody's for a safety officer", query: []parameter{{"on", "the day, as 2026-03-02; by default today"}}, status: 200, result: api.Evidence{}, errors: []int{no, none, state, badField}, do: (*face).evidence},
	{method: "GET", path: "/people/:person/standings/:procedure/cards", id: "cards", summary: "The wallet cards of a clearance, newest first", status: 200, result: Cards{}, errors: []int{no}, do: (*face).cards},
	{method: "POST", path: "/people/:person/standings/:procedure/cards", id: "issueCard", summary: "Issue a wallet card to whoever is cleared; the one before is revoked. Its code is told this once", status: 201, result: IssuedCard{}, errors: []int{no, none, state}, do: (*face).issueCard},
	{method: "POST", path: "/cards/:card/revocation", id: "revokeCard", summary: "Revoke a wallet card, with a reason", body: Reason{}, status: 204, errors: []int{no, none, state, badField}, do: (*face).revokeCard},
	{method: "GET", path: "/live/:code", id: "live", summary: "The live standing behind a wallet card's code, for whoever holds the card", open: true, status: 200, result: Live{}, errors: []int{none}, do: (*face).live},
}
