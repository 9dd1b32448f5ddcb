package web

import (
	"net/http"
	"strings"
	"testing"

	"soloright/api"
)

// What somebody signs points at the sheet where it stands on the page: above.
func TestTheSignatureComesUnderItsSheet(t *testing.T) {
	p := newBench(t)
	who, token := p.add("fitter-9", api.Technician)
	sit := p.open(token, "flanged-joint", api.Qualifying)
	p.answer(token, sit, allRight)
	p.post("/sittings/"+sit+"/hand-in", token, nil)
	id := p.sheetOf(who, "flanged-joint", "b16")
	page := textOf(parse(t, p.send(http.MethodGet, "/rebuilds/"+id+"/sign/performed", token, nil).Body.Bytes()))
	sheet, says := strings.LastIndex(page, "Hold point:"), strings.Index(page, "I performed this rebuild as the sheet above records it.")
	if sheet < 0 || says < sheet {
		t.Errorf("the sheet ends at %d, what is signed stands at %d: %s", sheet, says, page)
	}
}
