package api

// Role is what a person may do. A role includes nothing of another: what each
// may do stands in [Role.May].
type Role string

// The roles.
const (
	Technician    Role = "technician"
	Trainer       Role = "trainer"
	SafetyOfficer Role = "safety officer"
	Administrator Role = "administrator"
)

// Roles lists the roles.
var Roles = []Role{Technician, Trainer, SafetyOfficer, Administrator}

// Act is something that a role may or may not do.
type Act string

// The acts.
const (
	Sit           Act = "sit"             // open, answer and hand in one's own sittings
	ReadResults   Act = "read results"    // of anybody
	ReadKeys      Act = "read keys"       // preview items with their keys
	ReadPeople    Act = "read people"     // names and roles
	ManagePeople  Act = "manage people"   // add accounts, change roles and passwords
	ImportContent Act = "import content"  // put a procedure revision in
	VoidSitting   Act = "void a sitting"  // strike one out, with a reason
	ReadLedger    Act = "read the ledger" // export it, prove an entry, check it

	ReadItemHealth Act = "read item health" // what is wrong with items, with their keys
	WithdrawItems  Act = "withdraw items"   // and take them up again
	MarkAgain      Act = "mark again"       // sittings, without withdrawn items

	RunPanels  Act = "run panels"  // open one, judge in one, end one's own
	ReadPanels Act = "read panels" // and what they came to

	ManagePolicy     Act = "set the policy"      // and adopt revisions
	RecordTraining   Act = "record training"     // given by oneself; a safety officer for anybody
	ManageAssessors  Act = "appoint assessors"   // end appointments, record exceptions
	ManageClearances Act = "decide on standings" // suspend, reinstate, withdraw
	ReadRegister     Act = "read the register"   // of anybody; one's own standing needs no right

	Observe        Act = "observe rebuilds"     // and be observed; whom and what is for the standing to say
	ManageWrenches Act = "manage wrenches"      // put them and their calibrations on the register
	ApproveRebuild Act = "approve rebuilds"     // where the policy asks
	VoidRebuild    Act = "strike out a rebuild" // finished, with a reason
	ReadEvidence   Act = "read the evidence"    // of anybody's clearance; one's own needs no right
	ManageCards    Act = "issue cards"          // and revoke them, for anybody; one's own needs no right
)

// may is the table: who may do what. Whoever runs the program (Operator) may do
// what an administrator may, and import and void from the command line.
var may = map[Role]map[Act]bool{
	Technician: {Sit: true, Observe: true},
	Trainer: {Sit: true, ReadResults: true, ReadKeys: true, ReadPeople: true, ImportContent: true,
		RecordTraining: true, ReadRegister: true, ReadItemHealth: true, WithdrawItems: true, RunPanels: true, ReadPanels: true,
		Observe: true, ManageWrenches: true},
	SafetyOfficer: {MarkAgain: true, ReadPanels: true, Sit: true, ReadResults: true, ReadPeople: true, VoidSitting: true, ReadLedger: true,
		ManagePolicy: true, RecordTraining: true, ManageAssessors: true, ManageClearances: true, ReadRegister: true,
		ReadEvidence: true, ManageCards: true,
		Observe: true, ManageWrenches: true, ApproveRebuild: true, VoidRebuild: true},
	Administrator: {ReadPeople: true, ManagePeople: true, ImportContent: true},
}

// May reports whether the role may do the act.
func (r Role) May(a Act) bool { return may[r][a] }
