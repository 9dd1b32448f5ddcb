package bolting

import "fmt"

// circular is round the circle, either way.
type circular struct {
	spot []int // where each place stands on the way round, from 0
}

func (c circular) follows(prefix []int, next int) *fault {
	n, i := len(c.spot), len(prefix)
	if i == 0 {
		return nil
	}
	last := prefix[i-1]
	if apart(n, c.spot[last], c.spot[next]) != 1 {
		return &fault{ClauseAround, func() string { return "go round in one direction, each fastener to its neighbour" }}
	}
	return nil
}

// table is a pinned sequence, in all the forms that count as the same.
type table struct{ forms [][]int }

func newTable(p Pattern, order []int) table {
	first := zeroBased(order)
	if p.StartAt > 0 {
		return table{[][]int{first}}
	}
	t := table{}
	for _, turn := range symmetries(p) {
		form := make([]int, len(first))
		for i, place := range first {
			form[i] = turn[place]
		}
		t.forms = append(t.forms, form)
	}
	return t
}

func (t table) follows(prefix []int, next int) *fault {
	want := -1
	for _, form := range t.forms {
		if !startsWith(form, prefix) {
			continue
		}
		if form[len(prefix)] == next {
			return nil
		}
		if want < 0 {
			want = form[len(prefix)]
		}
	}
	return &fault{ClauseTable, func() string {
		return fmt.Sprintf("the sequence of the procedure goes on to %d here", want+1)
	}}
}

func startsWith(form, prefix []int) bool {
	for i, place := range prefix {
		if form[i] != place {
			return false
		}
	}
	return true
}
