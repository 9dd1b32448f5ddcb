package quiz

import (
	"fmt"
	"testing"

	"soloright/content"
)

// Assembling 40 items must not grow with the bank beyond the choosing: families
// are 2.1 for each of the 8n facts.
func BenchmarkAssemble40(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 6000} {
		bank := fakeBank(n)
		bp := content.Blueprint{Items: 40, Minutes: 80, Always: []content.FactID{"target/e0", "hold/e0"}}
		for _, t := range content.Topics {
			bp.Topics = append(bp.Topics, content.TopicRule{Topic: t, Min: 3, Max: 8})
		}
		b.Run(fmt.Sprintf("families=%d", len(bank.Families())), func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				if _, err := Assemble(bank, bp, History{}, seedOf(uint64(i))); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
