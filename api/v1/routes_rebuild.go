package v1

import "soloright/api"

var rebuildRoutes = []route{
	{method: "GET", path: "/rebuilds", id: "rebuilds", summary: "Observed rebuilds: your own as technician or assessor; with of=all everybody's, for who may", query: []parameter{{"of", "all; by default your own"}}, status: 200, result: Rebuilds{}, errors: []int{no, badField}, do: (*face).rebuilds},
	{method: "GET", path: "/rebuilds/observable", id: "observables", summary: "Whom you could observe now, and on what", status: 200, result: Observables{}, errors: []int{no}, do: (*face).observables},
	{method: "POST", path: "/rebuilds", id: "beginRebuild", summary: "Begin to observe a rebuild, as its assessor, or go on with the sheet that is open", body: api.BeginRebuild{}, status: 201, result: Rebuild{}, errors: []int{no, none, state, badField}, do: (*face).beginRebuild},
	{method: "GET", path: "/rebuilds/:rebuild", id: "rebuild", summary: "A rebuild with its sheet as it stands, or as it was finished and signed", status: 200, result: RebuildView{}, errors: []int{no, none, state}, do: (*face).rebuild},
	{method: "PUT", path: "/rebuilds/:rebuild/entries/:place", id: "saveEntry", summary: "Keep one place of the sheet; acknowledged only when durable", body: api.SaveEntry{}, status: 200, result: KeptPlace{}, errors: []int{no, none, state, badField}, do: (*face).saveEntry},
	{method: "POST", path: "/rebuilds/:rebuild/finish", id: "finishRebuild", summary: "Finish the sheet that was shown, for both to sign; twice is no error", body: api.FinishRebuild{}, status: 200, result: Rebuild{}, errors: []int{no, none, state, badField}, do: (*face).finishRebuild},
	{method: "POST", path: "/rebuilds/:rebuild/abandonment", id: "abandonRebuild", summary: "Give an open sheet up, with a reason; what was kept stays on the record", body: api.AbandonRebuild{}, status: 204, errors: []int{no, none, state, badField}, do: (*face).abandonRebuild},
	{method: "POST", path: "/rebuilds/:rebuild/signatures", id: "signRebuild", summary: "Sign a finished rebuild that was shown, with your password again; twice is no error", body: api.SignRebuild{}, status: 201, result: Signature{}, errors: []int{no, none, state, badField, tooMany}, do: (*face).signRebuild},
	{method: "POST", path: "/rebuilds/:rebuild/void", id: "voidRebuild", summary: "Strike a finished rebuild out, with a reason", body: api.VoidRebuildCommand{}, status: 204, errors: []int{no, none, state, badField}, do: (*face).voidRebuild},

	{method: "GET", path: "/wrenches", id: "wrenches", summary: "The register of torque wrenches", status: 200, result: Wrenches{}, errors: []int{no}, do: (*face).wrenches},
	{method: "POST", path: "/wrenches", id: "addWrench", summary: "Put a torque wrench on the register, by the id engraved on it; the same again is no error", body: api.AddWrench{}, status: 201, result: Wrench{}, errors: []int{no, state, badField}, do: (*face).addWrench},
	{method: "GET", path: "/wrenches/:wrench", id: "wrench", summary: "A wrench with its calibrations and the rebuilds that hang on them", status: 200, result: WrenchView{}, errors: []int{no, none}, do: (*face).wrench},
	{method: "POST", path: "/wrenches/:wrench/calibrations", id: "calibrate", summary: "Record a calibration; the same again is no error", body: api.Calibrate{}, status: 201, result: Calibration{}, errors: []int{no, none, badField}, do: (*face).calibrate},
}
