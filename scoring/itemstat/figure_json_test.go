package itemstat_test

import (
	"encoding/json"
	"testing"

	"soloright/scoring/itemstat"
)

// A figure that is not known has no number in JSON, and what is known keeps its 0.
func TestFigureInJSON(t *testing.T) {
	for _, c := range []struct {
		f    itemstat.Figure
		want string
	}{
		{itemstat.Figure{N: 12, NotYet: itemstat.TooFew, Need: 30}, `{"n":12,"not_yet":"too few answers","need":30}`},
		{itemstat.Figure{N: 4, Hi: 0.5, Conf: 0.9}, `{"value":0,"n":4,"lo":0,"hi":0.5,"level":0.9}`},
	} {
		got, err := json.Marshal(struct{ F *itemstat.Figure }{&c.f})
		if err != nil || string(got) != `{"F":`+c.want+`}` {
			t.Errorf("%+v: %s (%v)", c.f, got, err)
		}
		var back itemstat.Figure
		if err := json.Unmarshal([]byte(c.want), &back); err != nil || back != c.f {
			t.Errorf("%s reads back as %+v (%v)", c.want, back, err)
		}
	}
}
