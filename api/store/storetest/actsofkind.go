package storetest

import (
	"soloright/api"
	"soloright/scoring/clearance"
)

// actFilter is a way to list acts of a kind, and what it gives.
type actFilter struct {
	name   string
	filter api.ActFilter
	want   []api.StoredAct
}

func actFilters(first, second, other api.StoredAct) []actFilter {
	kind := clearance.Suspended{}.Kind()
	return []actFilter{
		{"acts of a kind, the last first", api.ActFilter{Kind: kind}, []api.StoredAct{other, second, first}},
		{"acts of another kind", api.ActFilter{Kind: clearance.Withdrawn{}.Kind()}, nil},
		{"acts of a kind on a procedure", api.ActFilter{Kind: kind, Procedure: "pump"}, []api.StoredAct{second, first}},
		{"acts of a kind of a person", api.ActFilter{Kind: kind, Person: "ana"}, []api.StoredAct{other, first}},
		{"acts of a kind of a person on a procedure", api.ActFilter{Kind: kind, Procedure: "pump", Person: "bo"}, []api.StoredAct{second}},
		{"acts of a kind before one", api.ActFilter{Kind: kind, Before: other.Seq}, []api.StoredAct{second, first}},
		{"some acts of a kind", api.ActFilter{Kind: kind, Limit: 1}, []api.StoredAct{other}},
	}
}
