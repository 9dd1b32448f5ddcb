package ledger

import (
	"encoding/hex"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"
)

// The public test vectors of the Merkle tree library, transparency-dev/merkle:
// testonly/constants.go (leaves, the hashes of all complete subtrees, roots) and
// proof/verify_test.go (proofs); they began as those of the reference code for RFC 6962.
var (
	vectorLeaves = []string{"", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"}
	vectorNodes  = [][]string{{
		"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
		"96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
		"0298d122906dcfc10892cb53a73992fc5b9f493ea4c9badb27b791b4127a7fe7",
		"07506a85fd9dd2f120eb694f86011e5bb4662e5c415a62917033d4a9624487e7",
		"bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
		"4271a26be0d8a84f0bd54c8c302e7cb3a3b5d1fa6780a40bcce2873477dab658",
		"b08693ec2e721597130641e8211e7eedccb4c26413963eee6c1e2ed16ffb1a5f",
		"46f6ffadd3d06a09ff3c5860d2755c8b9819db7df44251788c7d8e3180de8eb1",
	}, {
		"fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
		"5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
		"0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a",
		"ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
	}, {
		"d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
		"6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4",
	}, {
		"5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
	}}
	vectorRoots = []string{
		"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
		"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
		"fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
		"aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
		"d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
		"4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
		"76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
		"ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
		"5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
	}
)

func unhex(t testing.TB, s string) []byte { return must1[[]byte](t)(hex.DecodeString(s)) }

func hashHex(t testing.TB, s string) tlog.Hash { return tlog.Hash(unhex(t, s)) }

// vectorHeads appends the published leaves and returns the head of every size and
// all stored hashes.
func vectorHeads(t testing.TB) ([]Head, []tlog.Hash) {
	heads, stored := []Head{must1[Head](t)(NewHead(0, nil))}, []tlog.Hash(nil)
	for i, leaf := range vectorLeaves {
		next, hashes, err := appendLeaves(heads[i], []tlog.Hash{tlog.RecordHash(unhex(t, leaf))})
		if err != nil {
			t.Fatal(err)
		}
		heads, stored = append(heads, next), append(stored, hashes...)
	}
	return heads, stored
}

func TestAppendGivesThePublishedTrees(t *testing.T) {
	heads, stored := vectorHeads(t)
	for size, head := range heads {
		if got := hex.EncodeToString(head.Root[:]); got != vectorRoots[size] {
			t.Errorf("root of %d: %s, want %s", size, got, vectorRoots[size])
		}
	}
	for level, nodes := range vectorNodes {
		for n, want := range nodes {
			if got := stored[tlog.StoredHashIndex(level, int64(n))]; got != hashHex(t, want) {
				t.Errorf("stored hash of level %d, %d: %x, want %s", level, n, got, want)
			}
		}
	}
}

// The peaks published for seven leaves: those of the first four, of two, and of one.
func TestPeaks(t *testing.T) {
	heads, _ := vectorHeads(t)
	want := []tlog.Hash{hashHex(t, vectorNodes[2][0]), hashHex(t, vectorNodes[1][2]), hashHex(t, vectorNodes[0][6])}
	if diff := cmp.Diff(want, heads[7].Peaks); diff != "" {
		t.Error(diff)
	}
}

// Appending to a head alone, in whatever portions, gives what tlog gives who reads
// the whole tree.
func TestAppendAgreesWithTlog(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		head, _ := NewHead(0, nil)
		var ours, theirs []tlog.Hash
		reader := tlog.HashReaderFunc(func(indexes []int64) (out []tlog.Hash, err error) {
			for _, i := range indexes {
				out = append(out, theirs[i])
			}
			return out, nil
		})
		for _, portion := range rapid.SliceOfN(rapid.IntRange(0, 9), 1, 12).Draw(t, "portions") {
			var texts [][]byte
			for i := range portion {
				text, err := entryAt(int(head.Size) + i).MarshalText()
				if err != nil {
					t.Fatal(err)
				}
				hashes, err := tlog.StoredHashes(head.Size+int64(i), text, reader)
				if err != nil {
					t.Fatal(err)
				}
				texts, theirs = append(texts, text), append(theirs, hashes...)
			}
			before := head
			var stored []tlog.Hash
			var err error
			if head, stored, err = Append(head, texts...); err != nil {
				t.Fatal(err)
			}
			ours = append(ours, stored...)
			root, err := tlog.TreeHash(head.Size, reader)
			if err != nil || root != head.Root || head.Size != before.Size+int64(portion) {
				t.Fatalf("after %d: %v, root %v, want %v", head.Size, err, head.Root, root)
			}
			if again, err := UnpackHead(head.Size, head.Pack()); err != nil || !cmp.Equal(again.Peaks, head.Peaks) || again.Root != root {
				t.Fatalf("packed and unpacked: %+v, %v", again, err)
			}
			if err := CheckHead(head, reader); err != nil {
				t.Fatal(err)
			}
		}
		if diff := cmp.Diff(theirs, ours); diff != "" {
			t.Fatal(diff)
		}
	})
}

func TestAppendKeepsTheHeadItWasGiven(t *testing.T) {
	b := newBook(t).append(7)
	before := fmt.Sprint(b.head)
	for range 2 { // two futures of one head must not share peaks
		if _, _, err := Append(b.head, b.rows...); err != nil {
			t.Fatal(err)
		}
	}
	if after := fmt.Sprint(b.head); after != before {
		t.Errorf("the head became %s, was %s", after, before)
	}
}

func TestHeadRefuses(t *testing.T) {
	h := tlog.Hash{}
	for name, err := range map[string]error{
		"too few peaks":     second(NewHead(3, []tlog.Hash{h})),
		"too many peaks":    second(NewHead(4, []tlog.Hash{h, h})),
		"less than nothing": second(NewHead(-1, nil)),
		"too large":         second(NewHead(maxSize<<1, []tlog.Hash{h})),
		"half a hash":       second(UnpackHead(1, make([]byte, 33))),
		"no head":           third(Append(Head{Size: 3})),
		"no entry":          third(Append(Head{}, []byte("hello\n"))),
		"two entries":       third(Append(Head{}, []byte(strings.Repeat("soloright entry 1 a.b id 2026-11-25T13:48:00.123456Z\n", 2)))),
	} {
		if err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

func second[A any](_ A, err error) error        { return err }
func third[A, B any](_ A, _ B, err error) error { return err }

// A head that is not that of the stored hashes is told apart, with the place.
func TestCheckHead(t *testing.T) {
	b := newBook(t).append(13) // peaks of 0 to 7, 8 to 11 and 12
	for _, c := range []struct {
		change func(h *Head)
		want   string
	}{
		{func(h *Head) {}, ""},
		{func(h *Head) { h.Peaks[1][3] ^= 1 }, "root differs 8-11"},
		{func(h *Head) { h.Peaks[2][3] ^= 1 }, "root differs 12-12"},
		{func(h *Head) { h.Root[0] ^= 1 }, "root differs 0-12"},
		{func(h *Head) { h.Peaks = h.Peaks[:2] }, "root differs 0-12"},
	} {
		h := b.at(13).head
		c.change(&h)
		err := asUnsound(CheckHead(h, b))
		if got := told(t, err); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
	longer := b.at(13).head
	longer.Size = 14
	if CheckHead(longer, b) == nil {
		t.Error("a head of more entries than there are hashes is accepted")
	}
}
