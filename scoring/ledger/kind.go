package ledger

// Kind names the act that an entry attests. The package treats every kind alike
// but [KeyRotated]; what the attributes of one mean is for who writes it to say.
type Kind string

// The acts that go on the record. An act without a session, from the command line
// of whoever runs the program, has the same kind as one with.
const (
	AccountAdded   Kind = "account.added"
	AccountChanged Kind = "account.changed"
	AccountLeft    Kind = "account.left"
	AccountBack    Kind = "account.back"
	RoleChanged    Kind = "account.role-changed"
	PasswordSet    Kind = "account.password-set"

	RevisionImported   Kind = "revision.imported"
	RevisionAdopted    Kind = "revision.adopted"
	RevisionWithdrawn  Kind = "revision.withdrawn"
	ProcedureWithdrawn Kind = "procedure.withdrawn"

	ItemWithdrawn Kind = "item.withdrawn"
	ItemTakenUp   Kind = "item.taken-up"

	SittingHandedIn Kind = "sitting.handed-in"
	SittingMarked   Kind = "sitting.marked"
	SittingVoided   Kind = "sitting.voided"
	SittingRemarked Kind = "sitting.re-marked"

	RebuildFinished  Kind = "rebuild.finished"
	RebuildAbandoned Kind = "rebuild.abandoned"
	RebuildVoided    Kind = "rebuild.voided"
	WrenchAdded      Kind = "wrench.added"
	WrenchCalibrated Kind = "wrench.calibrated"
	SignatureGiven   Kind = "signature.given"
	PasswordRefused  Kind = "password.refused" // at signing; nothing was signed

	PolicyChanged     Kind = "policy.changed"
	PanelOpened       Kind = "panel.opened"
	PanelRated        Kind = "panel.rated"
	PanelRoundEnded   Kind = "panel.round-ended"
	PanelClosed       Kind = "panel.closed"
	TrainingGiven     Kind = "training.given"
	AppointmentMade   Kind = "appointment.made"
	AppointmentEnded  Kind = "appointment.ended"
	ExceptionRecorded Kind = "exception.recorded"

	ClearanceSuspended  Kind = "clearance.suspended"
	ClearanceReinstated Kind = "clearance.reinstated"
	ClearanceWithdrawn  Kind = "clearance.withdrawn"

	ActRecorded Kind = "act.recorded" // what another record means for standings

	CardIssued  Kind = "card.issued"
	CardRevoked Kind = "card.revoked"

	KeyMade        Kind = "key.made"
	KeyRotated     Kind = "key.rotated" // the attribute "key" is that of [KeyDigest]; see [Rotate]
	CheckpointKept Kind = "checkpoint.kept"
)
