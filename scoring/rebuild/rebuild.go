// Package rebuild is the assessor's sheet of an observed rebuild: what a procedure
// wants to be looked at and measured, what was found, and what of it is good.
//
// [NewPlan] takes the sheet from a procedure; [Plan.Check] says whether an entry can
// be kept at one of its places; [Fill] writes the entries onto it and judges them.
// Values are judged exactly, whatever their unit, by inclusive limits. What is
// missing, out of its limits, or measured with a wrench that did not hold on the
// day stands out as a fault, and a sheet with a fault never counts.
//
// # The text of a sheet
//
// What the technician and the assessor sign is the SHA-256 of [Record.Text]: UTF-8,
// lines that end in a newline, each of fields with a tab between. In a field white
// space is one space, so no text of an author or an assessor can make a line or a
// field of its own. The first line names the form:
//
//	soloright rebuild sheet 1
//	rebuild	ID
//	procedure	ID	TITLE
//	revision	REVISION
//	build	ID	TITLE
//	extent	whole                       (or: partial)
//	technician	ID	NAME
//	assessor	ID	NAME
//	started	2026-03-02T08:15:00Z        (as stated, UTC)
//	ended	2026-03-02T11:40:00Z
//	step	N	ID	PHASE	TEXT
//	KIND	PLACE	WHAT	WANTED	FOUND	WRENCH	KEPT	NOTE	FAULT
//	wrench	ID	DONE	DUE	CERTIFICATE	FAULT
//	remarks	TEXT
//	counts	yes                         (or: no	WHY)
//
// A step line is followed by its lines; KIND is hold point, fastener, setting or
// test; KEPT is when the server kept the entry. Wrenches stand after the last step,
// by id. An empty field is empty: nothing between two tabs. A tab that would end a
// line stands there all the same. So
//
//	hold point	hold.sort	The scrap bin counted	unaided	prompted		2026-03-02T09:00:00Z	asked for the list	not unaided
//
// is a hold point at which the assessor had to prompt.
package rebuild
