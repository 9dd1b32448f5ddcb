package quiz

// goldenForm is the form of [TestAssemblerVersion] by assembler version.
var goldenForm = map[int][]string{
	1: {
		"alpha|quantity/e4|2", "beta|quantity/e5|13", "beta|quantity/e2|18", "beta|facing/fe4|32", "beta|target/e0|8",
		"alpha|inspection/e5/c|4", "beta|inspection/e2/c|29", "alpha|observation/e1|1", "alpha|observation/e4|0", "alpha|hold/e5|0",
	},
}
