package v1

import (
	"net/http"
	"strings"

	"soloright/api"
)

// panelSamples are requests about panels that are right but for who sends them.
func (s *site) panelSamples() map[string]call {
	return map[string]call{
		"panels":    {path: "/panels"},
		"openPanel": {path: "/panels", body: api.OpenPanel{Procedure: "aodd-air-side", Judges: []string{s.person[api.Trainer].ID, "another"}}},
		"panel":     {path: "/panels/none"},
		"rateItems": {path: "/panels/none/ratings", body: api.RateItems{Round: 1, Percent: []int{80}}},
		"endRound":  {path: "/panels/none/end", body: api.EndRound{Round: 1, Close: true}},
		"adoptCut":  {path: "/panels/none/adoption"},
	}
}

func init() {
	for id, r := range map[string]api.Role{"panels": api.Technician, "openPanel": api.SafetyOfficer, "panel": api.Technician, "rateItems": api.SafetyOfficer,
		"endRound": api.SafetyOfficer, "adoptCut": api.Trainer} {
		mayNot[id] = r
	}
	wrongFields = append(wrongFields,
		wrongField{"openPanel", `{"procedure":"aodd-air-side"}`, 422, "judges"},
		wrongField{"rateItems", `{"round":9,"percent":[80]}`, 422, "round"},
		wrongField{"endRound", `{"round":0,"close":true}`, 422, "round"})
}

// panelsAll rates in two rounds, closes, adopts, and asks for what must not be.
func (s *site) panelsAll() {
	s.refreshTokens()
	chair, officer := s.token[api.Trainer], s.token[api.SafetyOfficer]
	second := s.add("second-judge", api.Trainer)
	judge := s.signIn("second-judge")
	open := api.OpenPanel{Procedure: "aodd-air-side", Judges: []string{s.person[api.Trainer].ID, second.ID}}
	var p Panel
	a := s.do(call{method: "POST", path: "/panels", as: chair, body: open}, 201)
	a.into(&p)
	at := "/panels/" + p.ID
	if a.header.Get("Location") != Prefix+at || p.Judges != 2 || p.Items < 20 || len(p.Form) != 64 || p.Round != 1 {
		s.t.Errorf("opened %+v", p)
	}
	send := func(method, path, as string, body any, want int) (v PanelView) {
		s.t.Helper()
		got := s.do(call{method: method, path: at + path, as: as, body: body}, want)
		if want == http.StatusOK {
			got.into(&v)
		}
		return v
	}
	rate := func(as string, round, percent, items, want int) PanelView {
		s.t.Helper()
		r := api.RateItems{Round: round, Percent: make([]int, items)}
		for i := range r.Percent {
			r.Percent[i] = percent
		}
		return send("PUT", "/ratings", as, r, want)
	}
	rate(chair, 1, 101, p.Items, 422)
	rate(chair, 1, 80, 1, 422)
	rate(chair, 2, 80, p.Items, 409)
	send("POST", "/end", chair, api.EndRound{Round: 1}, 409)
	send("POST", "/end", judge, api.EndRound{Round: 1, Close: true}, 403)
	if v := rate(chair, 1, 80, p.Items, 200); v.Rounds[0].Hidden || len(v.Rounds[0].Seats) != 1 || len(v.Mine) != p.Items || v.Rounds[0].Cut != nil {
		s.t.Errorf("rated: %+v", v.Rounds)
	}
	if v := send("GET", "", judge, nil, 200); !v.Rounds[0].Hidden || len(v.Rounds[0].Seats) != 0 || len(v.Items) != p.Items || v.Items[0].Key == "" || !v.Panel.Yours {
		s.t.Errorf("before the own ratings: %+v", v.Rounds)
	}
	rate(judge, 1, 90, p.Items, 200)
	send("POST", "/end", chair, api.EndRound{Round: 1, Note: "talked over"}, 200)
	rate(judge, 2, 86, p.Items, 200)
	send("POST", "/adoption", officer, nil, 409)
	if v := send("POST", "/end", chair, api.EndRound{Round: 2, Close: true}, 200); v.Panel.Cut == nil || v.Panel.Cut.Percent != 83 || v.Rounds[1].Seats[0].Said != 1 || v.Rounds[0].Note != "talked over" || len(v.Rounds[1].Spread) != p.Items {
		s.t.Errorf("closed: %+v", v.Panel)
	}
	var policy PolicyInForce
	s.do(call{method: "POST", path: at + "/adoption", as: officer}, 200).into(&policy)
	if policy.Policy.Cut != 83 || policy.History[0].Panel != p.ID {
		s.t.Errorf("adopted: %+v", policy)
	}
	if v := send("GET", "", officer, nil, 200); !v.Adopted || v.InForce != 83 || len(v.Items) != 0 {
		s.t.Errorf("the officer sees %+v with %d items", v.Panel, len(v.Items))
	}
	var all Panels
	s.do(call{method: "GET", path: "/panels", as: officer}, 200).into(&all)
	if len(all.Panels) != 1 || all.Panels[0].Cut == nil {
		s.t.Errorf("panels: %+v", all)
	}
	s.panelRefusals(open, chair, officer, at)
}

func (s *site) panelRefusals(open api.OpenPanel, chair, officer, at string) {
	for id, c := range s.panelSamples() {
		for _, r := range routes {
			if r.id == id {
				c.method = r.method
			}
		}
		c.as = chair
		if id == "adoptCut" {
			c.as = officer
		}
		if strings.Contains(c.path, "/none") {
			s.do(c, 404)
		}
	}
	post := func(o api.OpenPanel, want int) {
		s.t.Helper()
		s.do(call{method: "POST", path: "/panels", as: chair, body: o}, want)
	}
	alone := open
	alone.Judges = open.Judges[:1]
	post(alone, 422)
	alone.Judges = []string{open.Judges[0], s.person[api.Technician].ID}
	post(alone, 422)
	gone := open
	gone.Procedure = "nosuch"
	post(gone, 404)
	// Whoever has a qualifying sitting open sees no keys.
	third := s.add("third-judge", api.Trainer)
	chair = s.signIn("third-judge")
	open.Judges[0] = third.ID
	var sit Sitting
	s.do(call{method: "POST", path: "/sittings", as: chair, body: api.OpenSitting{Procedure: "aodd-air-side", Mode: api.Qualifying}}, 201).into(&sit)
	s.do(call{method: "GET", path: at, as: chair}, 409)
	post(open, 409)
	s.do(call{method: "POST", path: "/sittings/" + sit.ID + "/hand-in", as: chair}, 200)
}
