package storetest

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"testing"

	"soloright/api"
	"soloright/content"
	"soloright/scoring/clearance"
)

func day(s string) content.Date {
	d, err := content.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func openRebuild(id string, at int) api.OpenRebuild {
	return api.OpenRebuild{ID: id, Technician: "ana", Assessor: "bo", Procedure: "pump", Revision: "1", Build: "b1", Holds: []string{"h1", "h2"}, Opened: minutes(at)}
}

func finished(id string, at int) api.FinishedRebuild {
	sheet := []byte("sheet of " + id + "\x00\xff")
	digest := sha256.Sum256(sheet)
	return api.FinishedRebuild{OpenRebuild: openRebuild(id, at), Started: minutes(at + 1), Ended: minutes(at + 2), Finished: minutes(at + 3), Fault: "µ",
		Digest: digest[:], Record: []byte(`{"n":1}`), Sheet: sheet}
}

func signature(rebuild string, m clearance.Meaning, signer string, at int) api.Signature {
	digest := sha256.Sum256([]byte(rebuild))
	return api.Signature{Covers: clearance.Covered{Kind: clearance.CoversRebuild, ID: rebuild, Digest: hex.EncodeToString(digest[:])}, Meaning: m, Signer: signer,
		Name: "Name of " + signer, Role: api.Technician, Technician: "ana", At: minutes(at)}
}

func calibration(wrench string, n int) api.Calibration {
	return api.Calibration{Wrench: wrench, N: n, Done: day("2031-05-01"), Due: day("2032-04-30"), Good: n%2 == 1, Certificate: "C 7", At: minutes(n), By: "bo"}
}

// fillRebuilds puts rows into every append-only table of rebuilds.
func fillRebuilds(tx api.Tx) error {
	return errors.Join(
		tx.AddRefusedPassword(background, api.RefusedPassword{ID: "x", Person: "ana", At: minutes(1), About: "rebuild r"}),
		tx.AddWrench(background, api.Wrench{ID: "TW-1", Kind: api.SettingWrench, Added: minutes(1), By: "bo"}),
		tx.AddCalibration(background, calibration("TW-1", 1)),
		tx.AddOpenRebuild(background, openRebuild("r", 1)),
		tx.AddRebuild(background, finished("r", 1), []string{"TW-1"}),
		tx.AddSignature(background, signature("r", clearance.Performed, "ana", 5)),
		tx.AddRebuildVoid(background, api.RebuildVoid{Rebuild: "r", At: minutes(9), By: "bo", Reason: "why"}),
		tx.AddOpenRebuild(background, openRebuild("g", 1)),
		tx.AddAbandonedRebuild(background, api.AbandonedRebuild{OpenRebuild: openRebuild("g", 1), At: minutes(2), Reason: "why", Entries: []byte("[]")}),
	)
}

func signatures(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	first, second := signature("r", clearance.Performed, "ana", 5), signature("r", clearance.Observed, "bo", 6)
	other := signature("q", clearance.Observed, "bo", 4)
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.AddSignature(background, second), tx.AddSignature(background, first), tx.AddSignature(background, other))
	})
	again := first
	again.Signer = "bo"
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddSignature(background, again) })
	stranger := signature("z", clearance.Observed, "nobody", 1)
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.AddSignature(background, stranger) })
	f.read(func(r api.Reader) error {
		got, err := r.Signatures(background, clearance.CoversRebuild, "r")
		same(t, "the signatures, first one first", got, []api.Signature{first, second})
		return err
	})
	f.read(func(r api.Reader) error {
		walked := []api.Signature{}
		for after := (api.Signature{}); ; {
			next, err := r.EverySignature(background, after, 1)
			if err != nil || len(next) == 0 {
				same(t, "every signature", walked, []api.Signature{other, second, first})
				return err
			}
			walked, after = append(walked, next...), next[0]
		}
	})
	for i := range 3 {
		f.tx(func(tx api.Tx) error {
			return tx.AddRefusedPassword(background, api.RefusedPassword{ID: fmt.Sprint("p", i), Person: []string{"ana", "ana", "bo"}[i], At: minutes(i), About: "r"})
		})
	}
	f.read(func(r api.Reader) error {
		got, err := r.RefusedPasswords(background, "ana", minutes(0))
		if len(got) != 1 || !got[0].Equal(minutes(1)) {
			t.Errorf("refused after the first: %v", got)
		}
		all, err2 := r.EveryRefusedPassword(background, "p0", 5)
		one, err3 := r.RefusedPassword(background, "p2")
		same(t, "refused passwords", all, []api.RefusedPassword{{ID: "p1", Person: "ana", At: minutes(1), About: "r"}, one})
		_, none := r.RefusedPassword(background, "p9")
		if !errors.Is(none, api.ErrNone) {
			t.Errorf("a refused password that is not there: %v", none)
		}
		return errors.Join(err, err2, err3)
	})
}

func wrenches(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	a := api.Wrench{ID: "TW-2", Kind: api.IndicatingWrench, Lowest: "5 N·m", Highest: "50 N·m", Added: minutes(1), By: "bo"}
	b := api.Wrench{ID: "TW-1", Kind: api.SettingWrench, Added: minutes(2)}
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.AddWrench(background, a), tx.AddWrench(background, b), tx.AddCalibration(background, calibration("TW-2", 1)),
			tx.AddCalibration(background, calibration("TW-2", 2)), tx.AddCalibration(background, calibration("TW-1", 1)))
	})
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddWrench(background, a) })
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddCalibration(background, calibration("TW-2", 2)) })
	f.want(api.ErrNone, func(tx api.Tx) error { return tx.AddCalibration(background, calibration("none", 1)) })
	f.read(func(r api.Reader) error {
		all, err := r.Wrenches(background)
		same(t, "wrenches by id", all, []api.Wrench{b, a})
		one, err2 := r.Wrench(background, "TW-2")
		same(t, "a wrench", one, a)
		of, err3 := r.Calibrations(background, "TW-2")
		every, err4 := r.Calibrations(background, "")
		if len(of) != 2 || of[0] != calibration("TW-2", 1) || of[1] != calibration("TW-2", 2) || len(every) != 3 || every[0] != calibration("TW-1", 1) {
			t.Errorf("calibrations: %+v, all %+v", of, every)
		}
		return errors.Join(err, err2, err3, err4)
	})
}

func rebuilds(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	f.tx(func(tx api.Tx) error { return tx.AddOpenRebuild(background, openRebuild("r", 1)) })
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddOpenRebuild(background, openRebuild("s", 2)) })
	put := func(place string, revision int64, text string) (applied bool) {
		f.tx(func(tx api.Tx) (err error) {
			if _, err := tx.HoldRebuild(background, "r"); err != nil {
				return err
			}
			applied, err = tx.PutRebuildEntry(background, "r", api.KeptEntry{Place: place, Revision: revision, Entry: []byte(text), Kept: minutes(int(revision))})
			return err
		})
		return applied
	}
	if !put("a", 2, "two") || put("a", 2, "again") || put("a", 1, "late") || !put("b", 1, "one") || !put("a", 3, "three") {
		t.Error("an entry is kept when it is newer, and only then")
	}
	f.read(func(r api.Reader) error {
		got, err := r.RebuildEntries(background, "r")
		same(t, "the entries", got, []api.KeptEntry{{Place: "a", Revision: 3, Entry: []byte("three"), Kept: minutes(3)}, {Place: "b", Revision: 1, Entry: []byte("one"), Kept: minutes(1)}})
		open, err2 := r.OpenRebuilds(background, "bo")
		all, err3 := r.OpenRebuilds(background, "")
		one, err4 := r.OpenRebuild(background, "r")
		same(t, "open ones", [][]api.OpenRebuild{open, all, {one}}, [][]api.OpenRebuild{{openRebuild("r", 1)}, {openRebuild("r", 1)}, {openRebuild("r", 1)}})
		return errors.Join(err, err2, err3, err4)
	})
	f.tx(func(tx api.Tx) error {
		if _, err := tx.HoldRebuildAlone(background, "r"); err != nil {
			return err
		}
		return errors.Join(tx.AddRebuild(background, finished("r", 1), []string{"TW-1", "TW-9"}), tx.AddOpenRebuild(background, openRebuild("s", 10)),
			tx.AddRebuild(background, finished("s", 10), nil))
	})
	f.want(api.ErrNone, func(tx api.Tx) error { _, err := tx.HoldRebuild(background, "r"); return err })
	f.want(api.ErrNone, func(tx api.Tx) error {
		_, err := tx.PutRebuildEntry(background, "r", api.KeptEntry{Place: "a", Revision: 9, Kept: minutes(9)})
		return err
	})
	f.want(api.ErrExists, func(tx api.Tx) error { return tx.AddRebuild(background, finished("r", 1), nil) })
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.AddSignature(background, signature("r", clearance.Performed, "ana", 20)), tx.AddSignature(background, signature("r", clearance.Observed, "bo", 21)),
			tx.AddRebuildVoid(background, api.RebuildVoid{Rebuild: "r", At: minutes(30), By: "bo", Reason: "why"}))
	})
	f.want(api.ErrExists, func(tx api.Tx) error {
		return tx.AddRebuildVoid(background, api.RebuildVoid{Rebuild: "r", At: minutes(31), By: "bo", Reason: "why"})
	})
	want, other := finished("r", 1), finished("s", 10)
	want.Performed, want.Observed, want.Voided, want.VoidedBy, want.Reason = minutes(20), minutes(21), minutes(30), "bo", "why"
	f.read(func(r api.Reader) error {
		got, err := r.Rebuild(background, "r")
		same(t, "a finished rebuild", got, want)
		want.Record, want.Sheet, other.Record, other.Sheet = nil, nil, nil, nil
		all, err2 := r.Rebuilds(background, api.RebuildFilter{})
		same(t, "all, the last one first", all, []api.FinishedRebuild{other, want})
		with, err3 := r.Rebuilds(background, api.RebuildFilter{Wrench: "TW-9", Person: "bo"})
		same(t, "with a wrench", with, []api.FinishedRebuild{want})
		ids, err4 := r.RebuildIDs(background, "r", 5)
		used, err5 := r.RebuildWrenches(background, "r")
		same(t, "ids, wrenches", [][]string{ids, used}, [][]string{{"s"}, {"TW-1", "TW-9"}})
		none, err6 := r.Rebuilds(background, api.RebuildFilter{Person: "nobody"})
		if len(none) != 0 {
			t.Errorf("nobody's rebuilds: %v", none)
		}
		return errors.Join(err, err2, err3, err4, err5, err6)
	})
	abandonedRebuilds(t, f)
}

func abandonedRebuilds(t *testing.T, f fixture) {
	want := api.AbandonedRebuild{OpenRebuild: openRebuild("g", 40), At: minutes(41), Reason: "why", Entries: []byte("[]")}
	f.tx(func(tx api.Tx) error {
		return errors.Join(tx.AddOpenRebuild(background, want.OpenRebuild), tx.AddAbandonedRebuild(background, want))
	})
	f.want(api.ErrNone, func(tx api.Tx) error { _, err := tx.OpenRebuild(background, "g"); return err })
	f.read(func(r api.Reader) error {
		one, err := r.AbandonedRebuild(background, "g")
		all, err2 := r.AbandonedRebuilds(background, "", 5)
		same(t, "an abandoned rebuild", append(all, one), []api.AbandonedRebuild{want, want})
		return errors.Join(err, err2)
	})
}

// Entries come while the sheet is finished: what was acknowledged is in the record,
// and nothing is kept of it afterwards.
func entriesAgainstFinish(t *testing.T, db Database) {
	f := with(t, db.Open(t))
	const places = 3
	for round := range rounds(60) {
		id := fmt.Sprint("r", round)
		f.tx(func(tx api.Tx) error { return tx.AddOpenRebuild(background, openRebuild(id, round)) })
		var acknowledged [places]int64
		var recorded [places]int64
		atOnce(places+1, func(i int) bool {
			if i == places {
				err := f.s.InTx(background, func(tx api.Tx) error {
					o, err := tx.HoldRebuildAlone(background, id)
					if err != nil {
						return err
					}
					kept, err := tx.RebuildEntries(background, id)
					if err != nil {
						return err
					}
					recorded = [places]int64{}
					for _, k := range kept {
						recorded[k.Place[0]-'a'] = k.Revision
					}
					done := finished(id, round)
					done.OpenRebuild = o
					return tx.AddRebuild(background, done, nil)
				})
				if err != nil {
					t.Error(err)
				}
				return true
			}
			for rev := int64(1); rev < 50; rev++ {
				err := f.s.InTx(background, func(tx api.Tx) error {
					if _, err := tx.HoldRebuild(background, id); err != nil {
						return err
					}
					_, err := tx.PutRebuildEntry(background, id, api.KeptEntry{Place: string(rune('a' + i)), Revision: rev, Entry: []byte("{}"), Kept: minutes(round)})
					return err
				})
				if errors.Is(err, api.ErrNone) {
					return true
				}
				if err != nil {
					t.Errorf("entry %d at place %d: %v", rev, i, err)
					return false
				}
				acknowledged[i] = rev
			}
			return false
		})
		if recorded != acknowledged {
			t.Fatalf("round %d: acknowledged up to %v, in the record %v", round, acknowledged, recorded)
		}
		f.read(func(r api.Reader) error {
			left, err := r.RebuildEntries(background, id)
			if len(left) > 0 {
				t.Fatalf("round %d: %d entries after it was finished", round, len(left))
			}
			return err
		})
	}
}
