package api_test

import (
	"fmt"
	"strings"
	"testing"

	"soloright/api"
	"soloright/api/testenv"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

func TestAlteredRebuildsAreNamed(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) { alteredRebuilds(t, newYard(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { alteredRebuilds(t, yardOn(newSiteAt(t, "", testenv.PostgreSQL(t)))) })
}

// alteredRebuilds alters, takes out and puts in what hangs on a rebuild. {R} is a
// finished one, signed and struck out, {G} one given up; small letters are entries.
func alteredRebuilds(t *testing.T, y *yard) {
	f := y.finished()
	y.do(y.sign(y.tech, f, clearance.Performed))
	y.do(y.sign(y.assessor, f, clearance.Observed))
	wantKind(t, y.again(y.tech, "not-the-password"), api.Invalid)
	y.do(y.VoidRebuild(t.Context(), y.officer, api.VoidRebuildCommand{Rebuild: f.ID, Reason: "the wrench was found out"}))
	g := y.begin()
	y.do(y.AbandonRebuild(t.Context(), y.assessor, api.AbandonRebuild{Rebuild: g.ID, Reason: "the shift ended early"}))
	y.sound()
	h := hand{t, y.raw(), y.url}
	at := func(kind ledger.Kind, id string) (n int) {
		for i, e := range y.entries() {
			if e.Kind == kind && e.ID == id {
				n = i
			}
		}
		return n
	}
	in := strings.NewReplacer("{R}", f.ID, "{G}", g.ID, "{O}", y.people[api.SafetyOfficer].ID,
		"{f}", fmt.Sprint(at(ledger.RebuildFinished, f.ID)), "{s}", fmt.Sprint(at(ledger.SignatureGiven, f.ID)), "{v}", fmt.Sprint(at(ledger.RebuildVoided, f.ID)),
		"{g}", fmt.Sprint(at(ledger.RebuildAbandoned, g.ID)), "{c}", fmt.Sprint(at(ledger.WrenchCalibrated, "TW-1")), "{w}", fmt.Sprint(at(ledger.WrenchAdded, "TW-1")),
		"{p}", fmt.Sprint(at(ledger.PasswordRefused, y.people[api.Technician].ID))).Replace
	for _, a := range rebuildAlterations {
		t.Run(a.name, func(t *testing.T) {
			h.t, y.t = t, t
			h.undone(strings.Fields(a.tables), func() {
				a.do(h, in)
				y.found(a, in)
			})
		})
	}
	h.t, y.t = t, t
	y.sound()
}

// run makes an alteration of statements.
func run(queries ...string) func(hand, func(string) string) {
	return func(h hand, in func(string) string) {
		for _, q := range queries {
			h.do(in(q))
		}
	}
}

var rebuildAlterations = []alteration{
	{name: "a byte of a sheet", tables: "rebuilds", want: []string{"The rebuild {R} was altered: its sheet is not what entry {f} attests", "the digest of its sheet", "the text of its sheet is not that of its record"},
		do: func(h hand, in func(string) string) { h.byte("rebuilds", "sheet", in("id = '{R}'")) }},
	{name: "a sheet's record", tables: "rebuilds", want: []string{"The rebuild {R} was altered: its record is not what entry {f} attests"},
		also: []string{"the text of its sheet is not that of its record"},
		do:   func(h hand, in func(string) string) { h.byte("rebuilds", "record", in("id = '{R}'")) }},
	{name: "whose rebuild it is", tables: "rebuilds", want: []string{"its technician is not what entry {f} attests", "its row"},
		do: run("UPDATE rebuilds SET technician = '{O}' WHERE id = '{R}'")},
	{name: "why it does not count", tables: "rebuilds", want: []string{"The rebuild {R} was altered: its row is not what entry {f} attests"},
		do: run("UPDATE rebuilds SET fault = 'something' WHERE id = '{R}'")},
	{name: "a wrench of a rebuild taken out", tables: "rebuild_wrenches", want: []string{"The rebuild {R} was altered: its wrenches is not what entry {f} attests"},
		do: run("DELETE FROM rebuild_wrenches")},
	{name: "a rebuild taken out", tables: "rebuild_voids rebuild_wrenches rebuilds", want: []string{"Entry {f} attests the rebuild {R}, and that is not in the database", "Entry {v} attests the striking out of the rebuild {R}"},
		do: run("DELETE FROM rebuild_voids", "DELETE FROM rebuild_wrenches", "DELETE FROM rebuilds WHERE id = '{R}'")},
	{name: "a rebuild put in", tables: "rebuilds", want: []string{"The rebuild x is in the database and no entry"},
		do: run("INSERT INTO rebuilds (id, technician, assessor, procedure, revision, build, holds, opened, started, ended, finished, fault, digest, record, sheet) SELECT 'x', technician, assessor, procedure, revision, build, holds, opened, started, ended, finished, fault, digest, record, sheet FROM rebuilds")},
	{name: "the name under a signature", tables: "signatures", want: []string{`The signature "observed" under the rebuild {R} was altered: its row is not what entry {s} attests`},
		do: run("UPDATE signatures SET name = 'Somebody Else' WHERE meaning = 'observed'")},
	{name: "what was signed", tables: "signatures", want: []string{"its digest is not what entry {s} attests", "its row"},
		do: func(h hand, in func(string) string) { h.byte("signatures", "digest", "meaning = 'observed'") }},
	{name: "a signature taken out", tables: "signatures", want: []string{`Entry {s} attests the signature "observed" under the rebuild {R}, and that is not in the database`},
		do: run("DELETE FROM signatures WHERE meaning = 'observed'")},
	{name: "a signature put in", tables: "signatures", want: []string{`The signature "approved" under the rebuild {R} is in the database and no entry`},
		do: run("INSERT INTO signatures (covers, id, meaning, signer, name, role, technician, signed, digest) SELECT covers, id, 'approved', '{O}', name, role, technician, signed, digest FROM signatures WHERE meaning = 'observed'")},
	{name: "why it was struck out", tables: "rebuild_voids", want: []string{"The striking out of the rebuild {R} was altered: its reason is not what entry {v} attests"},
		do: run("UPDATE rebuild_voids SET reason = 'another'")},
	{name: "a striking out taken out", tables: "rebuild_voids", want: []string{"Entry {v} attests the striking out of the rebuild {R}, and that is not"}, do: run("DELETE FROM rebuild_voids")},
	{name: "what was given up", tables: "abandoned_rebuilds", want: []string{"The abandoned rebuild {G} was altered: its entries is not what entry {g} attests"},
		do: func(h hand, in func(string) string) { h.byte("abandoned_rebuilds", "entries", in("id = '{G}'")) }},
	{name: "what was given up taken out", tables: "abandoned_rebuilds", want: []string{"Entry {g} attests the abandoned rebuild {G}, and that is not"}, do: run("DELETE FROM abandoned_rebuilds")},
	{name: "what was given up put in", tables: "abandoned_rebuilds", want: []string{"The abandoned rebuild x is in the database and no entry"},
		do: run("INSERT INTO abandoned_rebuilds (id, technician, assessor, procedure, revision, build, holds, opened, abandoned, reason, entries) SELECT 'x', technician, assessor, procedure, revision, build, holds, opened, abandoned, reason, entries FROM abandoned_rebuilds")},
	{name: "a calibration", tables: "calibrations", want: []string{"The calibration 1 of the wrench TW-1 was altered: its due is not what entry {c} attests", "its row"},
		do: run("UPDATE calibrations SET due = '2030-01-01'")},
	{name: "a calibration taken out", tables: "calibrations", want: []string{"Entry {c} attests the calibration 1 of the wrench TW-1, and that is not"}, do: run("DELETE FROM calibrations")},
	{name: "a calibration put in", tables: "calibrations", want: []string{"The calibration 2 of the wrench TW-1 is in the database and no entry"},
		do: run("INSERT INTO calibrations (wrench, n, done, due, result, certificate, recorded, recorded_by) SELECT wrench, 2, done, due, result, certificate, recorded, recorded_by FROM calibrations")},
	{name: "a wrench", tables: "wrenches", want: []string{"The wrench TW-1 was altered: its row is not what entry {w} attests"}, do: run("UPDATE wrenches SET kind = 'indicating'")},
	{name: "a wrench put in", tables: "wrenches", want: []string{"The wrench TW-2 is in the database and no entry"},
		do: run("INSERT INTO wrenches (id, kind, lowest, highest, added, added_by) SELECT 'TW-2', kind, lowest, highest, added, added_by FROM wrenches")},
	{name: "a refused password taken out", tables: "refused_passwords", want: []string{"Entry {p} attests the refused password"}, do: run("DELETE FROM refused_passwords")},
	{name: "what a refused password was about", tables: "refused_passwords", want: []string{"its about is not what entry {p} attests", "its row"}, do: run("UPDATE refused_passwords SET about = 'nothing'")},
	{name: "a refused password put in", tables: "refused_passwords", want: []string{"The refused password x is in the database and no entry"},
		do: run("INSERT INTO refused_passwords (id, person, refused, about) SELECT 'x', person, refused, about FROM refused_passwords")},
}
