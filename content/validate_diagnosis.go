package content

func (c *checker) diagnosisRules() {
	for i, o := range c.p.Observations {
		c.rightAndWrong(at("observations", i), "not", []string{o.Means}, o.Not)
	}
	for i, f := range c.p.Faults {
		c.rightAndWrong(at("faults", i), "not", causesOf(f.Causes), f.Not)
	}
	for i, h := range c.p.Hazards {
		c.rightAndWrong(at("hazards", i), "not", causesOf(h.Controls), h.Not)
	}
}

func causesOf(cs []Cause) []string {
	out := make([]string, len(cs))
	for i, c := range cs {
		out[i] = c.Text
	}
	return out
}
