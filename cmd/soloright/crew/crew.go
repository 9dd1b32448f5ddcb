// Package crew is the demo's invented works: forty technicians in two crews, who
// teaches and who signs for them, and two years of what they did. It is played
// through the use cases with a clock in the past, so that what a visitor sees was
// set, marked and put on the record as everything else is.
//
// Three things went wrong at these works, for the analysis to find: how the rod cup
// seal of the pump faces is taught badly; an earlier revision of the flange
// procedure had one verdict wrong; and the night crew learned another way to judge
// the leak-by test.
package crew

import "soloright/api"

// Person is one of the invented people. Holds is the chance in percent that the
// person answers an item right in the beginning; who has no Password cannot sign in.
type Person struct {
	SignIn, Name string
	Role         api.Role
	Crew         string
	Password     string
	Holds        int
	Joined       int      // days after the beginning of the history
	Works        []string // procedures, in the order in which they are learned
}

// The procedures of the works.
const (
	isolation = "energy-isolation"
	pump      = "aodd-air-side"
	flange    = "flanged-joint"
	seal      = "mechanical-seal"
)

// Day and night are the two crews.
const (
	Day   = "day"
	Night = "night"
)

// Staff are those whose sign-in the demo prints: one of each role, a new technician
// who has done nothing yet, and one who waits to be observed on the pump.
var Staff = []Person{
	{SignIn: "newhire", Name: "Tamsin Oake", Role: api.Technician, Crew: Day, Password: "bench-of-my-own"},
	{SignIn: "ready", Name: "Alba Renquist", Role: api.Technician, Crew: Day, Password: "gauge-then-wrench"},
	{SignIn: "trainer", Name: "Berit Vahlquist", Role: api.Trainer, Password: "teach-it-twice"},
	{SignIn: "officer", Name: "Ruben Achterlo", Role: api.SafetyOfficer, Password: "lock-and-bleed"},
	{SignIn: "admin", Name: "Office of the works", Role: api.Administrator, Password: "keys-on-a-hook"},
}

// assessor observes the crew's rebuilds; the trainer teaches, and so does not sign.
var assessor = Person{SignIn: "halvard", Name: "Halvard Ostrander", Role: api.Trainer}

// Technicians are the two crews. No such people, no such works.
var Technicians = []Person{
	technician("ilse", "Ilse Drommond", Day, 96, 0, isolation, pump, flange),
	technician("mako", "Mako Perrault-Lind", Day, 93, 2, isolation, pump),
	technician("runa", "Runa Estervik", Day, 97, 3, isolation, flange, pump),
	technician("teo", "Teo Falkenrath", Day, 88, 5, isolation, flange),
	technician("anouk", "Anouk Birkedal", Day, 95, 6, isolation, pump, flange),
	technician("cormac", "Cormac Yelling", Day, 84, 8, isolation, flange, pump),
	technician("sefa", "Sefa Ondrakova", Day, 98, 9, isolation, flange, seal),
	technician("bram", "Bram Tolliver-Nash", Day, 91, 11, isolation, pump, flange),
	technician("livia", "Livia Quarrington", Day, 94, 12, isolation, flange),
	technician("oskar", "Oskar Vinterholm", Day, 86, 14, isolation, pump, flange),
	technician("mirre", "Mirre Dagenhart", Day, 97, 16, isolation, flange, pump),
	technician("kofi", "Kofi Amberwell", Day, 92, 18, isolation, pump),
	technician("yara", "Yara Sundqvist-Roe", Day, 95, 20, isolation, flange),
	technician("pell", "Pell Hargraven", Day, 83, 21, isolation, flange, pump),
	technician("nadia", "Nadia Corvell", Day, 96, 24, isolation, pump, flange),
	technician("idris", "Idris Fennimore", Day, 90, 120, isolation, flange),
	technician("greta", "Greta Holmsund", Day, 94, 150, isolation, pump),
	technician("wim", "Wim Oosterlee", Day, 97, 210, isolation, seal, pump),
	technician("sanna", "Sanna Pryderi", Day, 93, 330, isolation, pump),
	technician("hale", "Hale Brockenshaw", Day, 89, 460, isolation, pump, flange),
	technician("dov", "Dov Lissander", Day, 95, 590, isolation, flange),

	technician("joss", "Joss Tillerby", Night, 85, 1, isolation, pump, flange),
	technician("odile", "Odile Marchfeld", Night, 96, 2, isolation, flange, seal),
	technician("petro", "Petro Haskelund", Night, 91, 4, isolation, flange),
	technician("zora", "Zora Ketteridge", Night, 94, 5, isolation, pump, flange),
	technician("emil", "Emil Stavengard", Night, 97, 7, isolation, flange, pump),
	technician("tova", "Tova Ruskinder", Night, 88, 10, isolation, pump),
	technician("abel", "Abel Montcrieffe", Night, 95, 13, isolation, flange, pump),
	technician("liesl", "Liesl Varnhagel", Night, 93, 15, isolation, pump, flange),
	technician("juno", "Juno Astraker", Night, 84, 17, isolation, flange),
	technician("caspar", "Caspar Wendover", Night, 98, 19, isolation, pump, flange),
	technician("maren", "Maren Thistlewood", Night, 92, 22, isolation, flange, pump),
	technician("silas", "Silas Okonjima", Night, 96, 23, isolation, pump),
	technician("edda", "Edda Brannick", Night, 90, 100, isolation, flange),
	technician("rolf", "Rolf Etterby", Night, 95, 140, isolation, pump),
	technician("nives", "Nives Callahorn", Night, 87, 260, isolation, flange, pump),
	technician("aldo", "Aldo Ferrisgate", Night, 94, 380, isolation, pump),
	technician("brynn", "Brynn Uppendahl", Night, 96, 470, isolation, flange),
	technician("tarek", "Tarek Vossoughian", Night, 93, 600, isolation, pump),
}

func technician(signIn, name, crew string, holds, joined int, works ...string) Person {
	return Person{SignIn: signIn, Name: name, Role: api.Technician, Crew: crew, Holds: holds, Joined: joined, Works: works}
}
