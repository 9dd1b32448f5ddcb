package content

import "fmt"

func (c *checker) diagnosisRules() {
	for i, o := range c.p.Observations {
		c.rightAndWrong(at("observations", i), "not", []string{o.Means}, o.Not)
	}
	for i, f := range c.p.Faults {
		path := at("faults", i)
		c.rightAndWrong(path, "not", causesOf(f.Causes), f.Not)
		c.causes(join(path, "causes"), f.Causes)
	}
	for i, h := range c.p.Hazards {
		path := at("hazards", i)
		c.rightAndWrong(path, "not", causesOf(h.Controls), h.Not)
		c.causes(join(path, "controls"), h.Controls)
	}
}

func causesOf(cs []Cause) []string {
	out := make([]string, len(cs))
	for i, c := range cs {
		out[i] = c.Text
	}
	return out
}

// causes checks that no cause or control is only the words of another.
func (c *checker) causes(path string, cs []Cause) {
	for i, a := range cs {
		for j, b := range cs[:i] {
			if sameText(a.Text, b.Text) {
				c.add(join(at(path, i), "text"), fmt.Sprintf("reads the same as %s", at(path, j)), "delete one of the two")
			}
		}
	}
}
