package ledger

// swaps reports pairs of entries whose texts have changed places, and returns the
// other mismatches.
func (m mismatches) swaps(found *Unsound) mismatches {
	of, stated := map[[32]byte]int64{}, m.byStated()
	for _, x := range m {
		if n, ok := stated[x.hash]; ok && x.level == 0 {
			of[x.stated] = n
		}
	}
	var rest mismatches
	for _, x := range m {
		y, ok := stated[x.hash]
		back, mutual := of[x.hash]
		if !ok || !mutual || x.level > 0 || x.n == y || back != x.n {
			rest = append(rest, x)
		} else if x.n < y {
			found.add(swapDefect(x.n, y))
		}
	}
	return rest
}

func swapDefect(a, b int64) *Defect {
	return defect(Misplaced, a, b, "Entries %d and %d have changed places.", a, b)
}

// byStated returns, for the hash stated for a mismatched entry, its number.
func (m mismatches) byStated() map[[32]byte]int64 {
	of := map[[32]byte]int64{}
	for _, x := range m {
		if x.level == 0 {
			of[x.stated] = x.n
		}
	}
	return of
}

// moves finds out whether the texts of all entries from some place up to the last
// stand at other numbers than they were recorded under, as when one is taken out of
// a table and the rest numbered anew. It reports that once, and returns the
// mismatches before it and by how many places the texts moved: more than 0 is up.
func (m mismatches) moves(last int64, found *Unsound) (rest mismatches, moved int64) {
	start, moved := m.moved()
	if moved == 0 {
		return m, 0
	}
	if moved < 0 { // what was put in stands before the first that moved
		start += int(moved)
	}
	end := m[len(m)-1]
	if start < 0 || end.n-m[start].n != int64(len(m)-1-start) || end.n != last && len(m) < mostMismatches {
		return m, 0
	}
	at, n := m[start].n, max(moved, -moved)
	if moved > 0 {
		found.add(defect(Missing, at, at+n-1, "%s was taken out, and the entries after it were numbered anew.", sentence(entries(at, at+n-1))))
	} else {
		found.add(defect(PutIn, at, at+n-1, "%s was put in, and the entries after it were numbered anew.", sentence(entries(at, at+n-1))))
	}
	return m[:start], moved
}

// moved returns the first mismatch from which on every text was recorded so many
// places further on (or back, less than 0); 0 places if there is none.
func (m mismatches) moved() (start int, places int64) {
	stated := m.byStated()
	shift := func(i int) int64 {
		if n, ok := stated[m[i].hash]; ok {
			return n - m[i].n
		}
		return 0 // nobody knows where this text was recorded
	}
	i := len(m) - 1
	for i >= 0 && shift(i) == 0 {
		i--
	}
	if i < 0 {
		return 0, 0
	}
	// Texts that moved up fill the last places from numbers that are not there any more.
	places = shift(i)
	if int64(len(m)-1-i) != max(places, 0) {
		return 0, 0
	}
	for i > 0 && shift(i-1) == places {
		i--
	}
	return i, places
}
