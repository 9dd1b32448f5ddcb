package paper

import (
	"archive/zip"
	"bytes"
	"crypto/rand"
	"fmt"
	"io"
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"soloright/api"
	"soloright/content"
	"soloright/quiz"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
	"soloright/scoring/rebuild"
)

var recorded = time.Date(2026, 3, 20, 14, 5, 6, 7000, time.UTC)

func day(text string) content.Date {
	d, err := content.ParseDate(text)
	if err != nil {
		panic(err)
	}
	return d
}

func sha(n int) string { return fmt.Sprintf("%064x", 0xabcdef00+n) }

// sample is an evidence with something in every part, and a ledger that proves its
// entries.
func sample(t *testing.T) api.Evidence {
	t.Helper()
	at := func(d, h int) time.Time { return time.Date(2026, 3, d, h, 0, 0, 0, time.UTC) }
	robin, kim := api.EvidencePerson{ID: "robinrobinrobin", Name: "Robin Hæle-Ştefănescu", Role: api.Technician}, api.EvidencePerson{ID: "kim", Name: "Kim Ødegård", Role: api.Trainer}
	policy := clearance.DefaultPolicy()
	policy.Officer = true
	e := api.Evidence{Person: robin, Procedure: "aodd-air-side", Title: "Air side of a diaphragm pump", On: day("2026-03-20"),
		Standing: clearance.Standing{State: clearance.Cleared, Cleared: true, Revision: "C", Until: day("2027-03-15"), Reason: "cleared until 2027-03-15 on revision C"},
		Trail:    clearance.Trail{Sitting: "sitting2", Rebuilds: []string{"rebuild1"}, From: at(15, 9)},
		Revision: api.EvidenceRevision{Revision: "C", Issued: day("2026-01-19"), Imported: at(1, 8), Adopted: at(2, 8), Digest: sha(1), Blueprint: sha(2)},
		Policy:   api.EvidencePolicy{Policy: policy, At: at(15, 9), Set: at(1, 9)},
		Sittings: []api.EvidenceSitting{
			{ID: "sitting1", Mode: api.Qualifying, Revision: "C", HandedIn: at(3, 9), Items: 24, Form: sha(3), Blueprint: sha(2), Answers: sha(4), Outcome: sha(5), Marked: at(3, 9), Marking: 1, Rules: 1,
				Total: quiz.Fraction{Rat: big.NewRat(31, 2)}, Cut: 80, Percent: 64, Critical: 3, Verdict: "failed", Final: "failed", TimeUp: true},
			{ID: "sitting2", Mode: api.Qualifying, Revision: "C", HandedIn: at(5, 9), Items: 24, Form: sha(6), Blueprint: sha(2), Answers: sha(7), Outcome: sha(8), Marked: at(5, 9), Marking: 1, Rules: 1,
				Total: quiz.Fraction{Rat: big.NewRat(23, 1)}, Cut: 80, Percent: 95, Critical: 1, Verdict: "to confirm", Final: "passed", Carries: true},
			{ID: "sitting3", Mode: api.Qualifying, Confirms: "sitting2", Revision: "C", HandedIn: at(5, 10), Items: 2, Form: sha(9), Answers: sha(10), Outcome: sha(11), Marked: at(5, 10), Marking: 1, Rules: 1,
				Total: quiz.Fraction{Rat: big.NewRat(2, 1)}, Percent: 100, Verdict: "passed", Carries: true, Void: &api.EvidenceVoid{At: at(6, 1), By: kim, Reason: "for this test"}},
		},
		Facts: []api.EvidenceFact{{Fact: "target/cap", Text: "cap bolts: 13.6 N·m ±5 %", Critical: true, Missed: []time.Time{at(3, 9), at(5, 9)}, Right: at(5, 10)},
			{Fact: "facing/cup", Text: "“fit the cap” comes after “grease the rod”", Missed: []time.Time{at(3, 9)}, Right: at(5, 9)}, {Fact: "facing/cup", Text: "rod cup seal: lips towards the pump’s centre", Missed: []time.Time{at(3, 9)}}},
		Read: []api.EvidenceRead{{ID: "read1", Removed: true, Revision: "C", At: at(4, 9), Facts: []content.FactID{"grease/x"}, Texts: []string{"grease on the O-ring"}, Shown: "what was shown\n", Digest: sha(12), Entry: 2,
			Signatures: []api.EvidenceSignature{{Name: robin.Name, Role: "technician", Meaning: clearance.Read, At: at(4, 9), Digest: sha(12), Entry: 2}}},
			{ID: "read1", Revision: "C", At: at(4, 9), Facts: []content.FactID{"length/cap"}, Texts: []string{""}, Shown: "what was shown\n", Digest: sha(12), Entry: 2}},
		Rebuilds: []api.EvidenceRebuild{{ID: "rebuild1", Revision: "C", Assessor: kim, Started: at(14, 8), Ended: at(14, 12), Recorded: at(14, 12), InTolerance: true, InCalibration: true, Digest: sha(13),
			Counts: true, Carries: true, Sheet: "soloright rebuild sheet 1\nrebuild\trebuild1\n", Remarks: "a quiet morning",
			Readings: []api.EvidenceReading{{Step: 4, Kind: rebuild.LineFastener, What: "cap bolt 2", Wanted: "13.6 N·m ±5 %", Found: "set 13.6 N·m, signalled", Wrench: "TW-07"}, {Step: 5, Kind: rebuild.LineTest, What: "air test", Wanted: "5 bar", Found: "3 bar", Note: "hose slipped", Fault: "below the pressure"}},
			Wrenches: []api.EvidenceWrench{{ID: "TW-07", Done: day("2026-01-02"), Due: day("2027-01-01"), Certificate: "C 12"}},
			Holds:    []api.EvidenceHold{{Step: "isolate", Text: "zero energy on the gauge", Outcome: clearance.Unaided, Critical: true, Kept: "2026-03-14T08:30:00Z", Note: "looked twice"}, {Step: "heater", Outcome: clearance.NotApplicable, Condition: "no heater is fitted"}},
			Signatures: []api.EvidenceSignature{{Name: robin.Name, Role: "technician", Meaning: clearance.Performed, At: at(14, 13), Digest: sha(13), Entry: 3},
				{Name: kim.Name, Role: "trainer", Meaning: clearance.Observed, At: at(15, 9), Digest: sha(13), Entry: 4}}},
			{ID: "rebuild0", Revision: "B", Assessor: kim, Started: at(13, 8), Ended: at(13, 12), Recorded: at(13, 12), Digest: sha(14), Reason: "hold point isolate was prompted", Void: &api.EvidenceVoid{At: at(13, 13), By: kim, Reason: "the wrong pump"},
				Holds: []api.EvidenceHold{{Step: "isolate", Outcome: clearance.Prompted}}}},
		Acts: []api.EvidenceAct{{At: at(2, 9), Kind: "training given", What: "Trained by " + kim.Name + " on 2026-03-02", By: kim, Entry: 1}, {At: at(2, 9), Kind: "exception granted", What: "May assess", By: kim, Entry: 1,
			Signature: &api.EvidenceSignature{Name: kim.Name, Role: "safety officer", Meaning: clearance.Exception, At: at(2, 9), Digest: sha(15), Entry: 2}}}, Recorded: recorded}
	prove(t, &e)
	return e
}

// prove makes a ledger of five entries and the proofs of the last four.
func prove(t *testing.T, e *api.Evidence) {
	t.Helper()
	key, _, err := ledger.NewKey(rand.Reader, "works.example/ledger")
	if err != nil {
		t.Fatal(err)
	}
	signer, err := ledger.NewSigner(key)
	if err != nil {
		t.Fatal(err)
	}
	var text [][]byte
	for i, kind := range []ledger.Kind{ledger.KeyMade, ledger.TrainingGiven, ledger.ActRecorded, ledger.SignatureGiven, ledger.SignatureGiven} {
		one, err := ledger.Entry{Kind: kind, ID: fmt.Sprint("record", i), At: recorded, Attributes: map[string]string{"by": "kim"}}.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		text = append(text, one)
	}
	head, stored, err := ledger.Append(ledger.Head{}, text...)
	if err != nil {
		t.Fatal(err)
	}
	note, err := signer.Sign(head)
	if err != nil {
		t.Fatal(err)
	}
	e.Checkpoint, e.Keys = string(note), []string{signer.Verifier()}
	for i := range text[1:] {
		n := int64(i + 1)
		p, err := ledger.ProveInclusion(note, n, text[n], hashes(stored))
		if err != nil {
			t.Fatal(err)
		}
		proof, err := p.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		e.Entries = append(e.Entries, api.EvidenceEntry{N: n, Kind: ledger.SignatureGiven, ID: "rebuild1", At: recorded, About: "the observed rebuild", Leaf: ledger.RecordHash(text[n]).String(), Proof: string(proof)})
	}
}

// hashes are stored hashes in memory.
type hashes []ledger.Hash

func (h hashes) ReadHashes(indexes []int64) ([]ledger.Hash, error) {
	var out []ledger.Hash
	for _, i := range indexes {
		out = append(out, h[i])
	}
	return out, nil
}

func print(t *testing.T, e api.Evidence, size Size) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Evidence(&b, e, size, time.UTC); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func keep(t *testing.T, name string, file []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(t.ArtifactDir(), name), file, 0o644); err != nil {
		t.Fatal(err)
	}
}

// The whole trail is in the text of the print, and reads back.
func TestTheEvidenceIsPrinted(t *testing.T) {
	e := sample(t)
	for _, size := range []Size{A4, Letter} {
		pdf := print(t, e, size)
		keep(t, "evidence-"+string(size)+".pdf", pdf)
		text := allText(t, pdf)
		for _, want := range []string{"MAY WORK ALONE", "Cleared until 2027-03-15 on revision C.", "Robin Hæle-Ştefănescu", "Air side of a diaphragm pump", "2026-03-15 09:00",
			sha(1), sha(2), "set on 2026-03-01 09:00", "80 % of the marks", "a safety officer approves",
			"Qualifying sitting, time up, handed in 2026-03-03 09:00: failed", "● Qualifying sitting, handed in 2026-03-05 09:00: to confirm, then passed", "64 % (31/2 of 24), cut 80 %, 3 critical facts missed",
			"Confirming step, handed in 2026-03-05 10:00: passed; STRUCK OUT", "Struck out on 2026-03-06 01:00 by Kim Ødegård: for this test", sha(3), sha(4), sha(5), sha(11),
			"CRITICAL. Cap bolts: 13.6 N·m ±5 %", "2026-03-03 2026-03-05 2026-03-05", "“fit the cap” comes after “grease the rod”", "Rod cup seal: lips towards the pump’s centre", "not asked again",
			"Grease on the O-ring", sha(12), "Rebuild of 2026-03-14 08:00 to 2026-03-14 12:00, observed by Kim Ødegård", "CRITICAL. Zero energy on the gauge", "unaided", "not applicable: no heater is fitted",
			"unaided; looked twice 2026-03-14 08:30", "4 cap bolt 2 13.6 N·m ±5 % set 13.6 N·m, signalled TW-07", "3 bar; FAULT: below the pressure; hose slipped", "TW-07 2026-01-02 2027-01-01 C 12 held on the day", "Remarks: a quiet morning",
			"no: it was struck out", "Struck out on 2026-03-13 13:00 by Kim Ødegård: the wrong pump", "Nobody has signed it.", "no longer stated by revision C", "added or changed by revision C, asked by no question", "Length/cap", "SIGNED: read", "SIGNED: exception, Kim Ødegård, safety officer, 2026-03-02 09:00, entry 2",
			"SIGNED: performed", "SIGNED: observed", "Kim Ødegård, trainer, 2026-03-15 09:00, entry 4", "under " + sha(13),
			"Trained by Kim Ødegård on 2026-03-02", e.Entries[3].Leaf, "works.example/ledger", "soloright-verify proof entry-1.proof --key record.keys", e.Keys[0],
			"WARNING", "Isolate, lock out and prove zero energy"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: the print lacks %q", size, want)
			}
		}
		for line := range strings.Lines(e.Checkpoint) {
			if line = strings.TrimSpace(line); !strings.Contains(strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(line, " ", "")) {
				t.Errorf("%s: the print lacks the line %q of the checkpoint", size, line)
			}
		}
		if strings.ContainsAny(text, "□\ufffd") {
			t.Errorf("%s: something could not be drawn", size)
		}
	}
}

// Every sheet has its title block with its number, and nothing is written beyond
// the frame. A4: ISO 216; Letter: 8.5 by 11 inches.
func TestEverySheetHasItsTitleBlock(t *testing.T) {
	e := sample(t)
	for i := range 300 { // more than one sheet can hold
		e.Acts = append(e.Acts, api.EvidenceAct{At: recorded, What: fmt.Sprint("An act with the number ", i), By: e.Person, Entry: int64(i)})
	}
	e.Rebuilds[0].Remarks = strings.Repeat("a remark that is long enough to be broken into two lines or three, because it goes on and on and on\n", 150)
	for size, mm := range map[Size][2]float64{A4: {210, 297}, Letter: {215.9, 279.4}} {
		pdf := print(t, e, size)
		w, h := box(t, pdf)
		if diff := max(w-mm[0]*72/25.4, mm[0]*72/25.4-w, h-mm[1]*72/25.4, mm[1]*72/25.4-h); diff > 0.01 {
			t.Errorf("%s: %g by %g points", size, w, h)
		}
		all := pages(t, pdf)
		if len(all) < 8 {
			t.Errorf("%s: %d sheets", size, len(all))
		}
		text := allText(t, pdf)
		for i := range 300 {
			if n := strings.Count(text+" ", fmt.Sprint("An act with the number ", i, " ")); n != 1 {
				t.Errorf("%s: act %d stands %d times", size, i, n)
			}
		}
		for n, p := range all {
			block := strings.Join(texts(t, p), " ")
			for _, want := range []string{"Evidence of a clearance", e.Person.Name, fmt.Sprintf("%d/%d", n+1, len(all)), "Checked by"} {
				if !strings.Contains(block, want) {
					t.Errorf("%s: sheet %d lacks %q", size, n+1, want)
				}
			}
			for _, m := range shown.FindAllStringSubmatch(p, -1) {
				at := numbers(t, m[1], m[2])
				if at[0] < (fileEdge-4)*72/25.4 || at[0] > w-7*72/25.4 || at[1] < 6*72/25.4 || at[1] > h-6*72/25.4 {
					t.Errorf("%s: sheet %d writes %q at %v", size, n+1, utf16Text(t, m[3]), at)
				}
			}
		}
	}
}

// The same evidence gives the same bytes, whenever and wherever it is printed.
func TestThePrintIsTheSameAgain(t *testing.T) {
	e := sample(t)
	first := print(t, e, A4)
	time.Sleep(1100 * time.Millisecond) // a date in whole seconds would show
	var wait sync.WaitGroup
	for range 4 { // and beside each other
		wait.Go(func() {
			if !bytes.Equal(first, print(t, e, A4)) {
				t.Error("the same evidence gave other bytes")
			}
		})
	}
	wait.Wait()
	e.Standing.Reason = "cleared until 2027-03-16 on revision C"
	if bytes.Equal(first, print(t, e, A4)) {
		t.Error("other evidence gave the same bytes")
	}
	var a, b bytes.Buffer
	if err := Proofs(&a, e); err != nil {
		t.Fatal(err)
	}
	if err := Proofs(&b, e); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same proofs gave other bytes")
	}
}

// The texts that were signed are in the file of proofs, each once, so that whoever
// checks works out the digest that the signatures stand under.
func TestTheProofsHoldWhatWasSigned(t *testing.T) {
	e := sample(t)
	var b bytes.Buffer
	if err := Proofs(&b, e); err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if _, twice := got[f.Name]; twice {
			t.Errorf("%s is there twice", f.Name)
		}
		got[f.Name] = string(text)
	}
	if got["sheet-rebuild1.txt"] != e.Rebuilds[0].Sheet || got["reading-read1.txt"] != e.Read[0].Shown || len(got) != 3+len(e.Entries)+2 {
		t.Errorf("the files: %q", got)
	}
	for _, entry := range e.Entries {
		if got[ProofName(entry.N)] != entry.Proof || !strings.Contains(got["READ-ME.txt"], ProofName(entry.N)) {
			t.Errorf("entry %d: %q", entry.N, got[ProofName(entry.N)])
		}
	}
}

// Somebody on the road, with nothing on the record yet.
func TestAnEmptyEvidenceIsPrinted(t *testing.T) {
	e := api.Evidence{Person: api.EvidencePerson{ID: "x", Name: "李雷 😀", Role: api.Technician}, Procedure: "p", Title: "T", On: day("2026-03-20"), Policy: api.EvidencePolicy{Policy: clearance.DefaultPolicy()},
		Standing: clearance.Standing{State: clearance.NotCleared, Reason: "not cleared: qualifying sitting outstanding", Next: []string{"qualifying sitting outstanding"}}}
	text := allText(t, print(t, e, A4))
	for _, want := range []string{"MAY NOT WORK ALONE", "Not cleared: qualifying sitting outstanding.", "Missing: qualifying sitting outstanding.", "None is on the record.", "This record has no ledger.", "□□ □"} {
		if !strings.Contains(text, want) {
			t.Errorf("it lacks %q: %s", want, text)
		}
	}
}
