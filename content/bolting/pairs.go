package bolting

import "fmt"

// pairs is the crossing rule on rectangles and oblongs: opposite pairs through the
// centre, from the centre outward.
type pairs struct{ g *geometry }

func (o pairs) follows(prefix []int, next int) *fault {
	if i := len(prefix); i%2 == 1 {
		want := o.g.opposite[prefix[i-1]]
		if next != want {
			return &fault{ClauseOpposite, func() string {
				return fmt.Sprintf("the second of a pair stands opposite the first through the centre; %d was next", want+1)
			}}
		}
		return nil
	}
	used := make([]bool, len(o.g.at))
	for _, place := range prefix {
		used[place] = true
	}
	for place, u := range used {
		if !u && o.g.ring[place] < o.g.ring[next] {
			return &fault{ClauseOutward, func() string {
				return fmt.Sprintf("work from the centre outward: %d–%d, nearer the centre, was still free", place+1, o.g.opposite[place]+1)
			}}
		}
	}
	return nil
}
