package content

// Nearest returns the word of the list that is most like the given one, or "" if
// none is like enough to have been meant: at most a third of its letters, and in
// a short word one, may be wrong, missing, too many or swapped. The first of
// equally near words wins. The cost is their lengths multiplied.
func Nearest(word string, list []string) string {
	letters := []rune(word)
	best, least := "", min(max(1, len(letters)/3), len(letters)-1)+1
	for _, w := range list {
		if d := distance(letters, []rune(w)); d < least {
			best, least = w, d
		}
	}
	return best
}

// distance counts the letters to change, add, drop or swap with their neighbour
// between two words (the optimal string alignment distance).
func distance(a, b []rune) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(a)][len(b)]
}
