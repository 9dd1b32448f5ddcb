package itemmodel

import (
	"slices"
	"testing"
)

// A tool that is accepted too is never an option: to tick it would be neither
// right nor wrong.
func TestPickTheToolsLeavesAcceptedToolsOut(t *testing.T) {
	for _, it := range written(t, pickTheTools, "tools/strip-seals", 30) {
		if all := append(textsOf(it, isRight), textsOf(it, isWrong)...); slices.Contains(all, "steel pick") || !slices.Equal(textsOf(it, isRight), []string{"brass hook"}) {
			t.Fatalf("options %v", all)
		}
	}
}
