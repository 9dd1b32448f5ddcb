package ledger

import (
	"encoding/base64"
	"math/bits"

	"golang.org/x/mod/sumdb/tlog"
)

// hashesWith returns how many hashes are stored with entry n: its own and one for
// each subtree that it completes.
func hashesWith(n int64) int { return 1 + bits.TrailingZeros64(^uint64(n)) }

// appendHash appends the hash in base64.
func appendHash(b []byte, h tlog.Hash) []byte {
	return base64.StdEncoding.AppendEncode(b, h[:])
}

// states reports whether text is the hash in base64.
func states(text []byte, h tlog.Hash) bool {
	var b [hashText]byte
	base64.StdEncoding.Encode(b[:], h[:])
	return string(b[:]) == string(text)
}

// subtree is a complete subtree: that of the entries from n<<level on, 1<<level of them.
type subtree struct {
	level int
	n     int64
	hash  tlog.Hash // worked out from the entries
	odd   bool      // and not the one that the export states
}

func (s subtree) first() int64 { return s.n << s.level }
func (s subtree) last() int64  { return (s.n+1)<<s.level - 1 }

// forest is a run of entries as the fewest complete subtrees, from the left.
type forest []subtree

// merge makes one of the last two subtrees, if they are the two halves of one.
func (f *forest) merge() bool {
	t := *f
	i := len(t) - 2
	if i < 0 || t[i].level != t[i+1].level || t[i].n&1 == 1 {
		return false
	}
	t[i] = subtree{level: t[i].level + 1, n: t[i].n >> 1, hash: tlog.NodeHash(t[i].hash, t[i+1].hash), odd: t[i].odd || t[i+1].odd}
	*f = t[:i+1]
	return true
}

// root returns the hash of the tree that the forest is, RFC 6962 §2.1; the forest
// must begin at entry 0.
func (f forest) root() tlog.Hash {
	if len(f) == 0 {
		return emptyRoot()
	}
	h := f[len(f)-1].hash
	for i := len(f) - 2; i >= 0; i-- {
		h = tlog.NodeHash(f[i].hash, h)
	}
	return h
}

// A mismatch is a place where the export states another hash than its entries give.
type mismatch struct {
	subtree           // with the hash that the entries give
	stated  tlog.Hash // zero if what stands there is no hash
	healed  bool      // a hash further up agrees, so only the stated hash is wrong
}

// mostMismatches is how many are kept. A record in which one entry was taken out
// and the rest moved up has one at every entry after it.
const mostMismatches = 4096

// mismatches are kept in the order of the file.
type mismatches []mismatch

// compare compares the last subtree of a forest with the hash stated for it. One
// that does not agree only because a half of it did not is not a new mismatch; one
// that agrees although a half of it did not shows that the half was right.
func (m *mismatches) compare(f forest, stated []byte) {
	top := &f[len(f)-1]
	if states(stated, top.hash) {
		if top.odd {
			m.heal(*top)
			top.odd = false
		}
		return
	}
	if !top.odd && len(*m) < mostMismatches {
		h, _ := parseHash(stated) // what is no hash stays zero
		*m = append(*m, mismatch{subtree: *top, stated: h})
	}
	top.odd = true
}

// heal marks every mismatch below a subtree whose hash agrees.
func (m mismatches) heal(s subtree) {
	for i := range m {
		if m[i].first() >= s.first() && m[i].last() <= s.last() {
			m[i].healed = true
		}
	}
}
