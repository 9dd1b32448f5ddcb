package itemmodel

import (
	"testing"

	"soloright/content"
	"soloright/quiz"
)

// BenchmarkWrite writes items with every model on every fact, warm: what depends
// on the procedure only was worked out before.
func BenchmarkWrite(b *testing.B) {
	for _, m := range All() {
		b.Run(m.Name(), func(b *testing.B) { benchmarkWrite(b, []quiz.Model{m}) })
	}
	b.Run("all", func(b *testing.B) { benchmarkWrite(b, All()) })
}

func benchmarkWrite(b *testing.B, models []quiz.Model) {
	type family struct {
		src  *quiz.Source
		m    quiz.Model
		fact content.Fact
	}
	var all []family
	for _, src := range sources(b) {
		for _, m := range models {
			for _, f := range src.Index.Facts() {
				if n, _ := m.Count(src, f); n > 0 {
					all = append(all, family{src, m, f})
				}
			}
		}
	}
	if len(all) == 0 {
		b.Fatal("no procedure has a fact to write on")
	}
	rnd := random(1)
	i := 0
	for b.Loop() {
		f := all[i%len(all)]
		if _, err := f.m.Write(f.src, f.fact, rnd); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

// BenchmarkCount plans every family of a fresh source: what a bank costs once.
func BenchmarkCount(b *testing.B) {
	ps := procedures(b)
	for b.Loop() {
		for _, p := range ps {
			src := quiz.NewSource(p, "")
			for _, m := range All() {
				for _, f := range src.Index.Facts() {
					m.Count(src, f)
				}
			}
		}
	}
}
