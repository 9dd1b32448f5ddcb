// Package clearance says who may do a procedure alone on a date: a pure fold
// over recorded events. It keeps no truth of its own; whoever holds the events
// can work every standing out again, on any date, past or coming.
//
// # The road
//
// Prerequisites cleared; a qualifying sitting passed; the number of observed
// rebuilds that the policy asks for, each begun after that sitting, on the
// revision that the sitting stands on, counting (see [RebuildFinished.Counts])
// and signed by the technician first and by its assessor after; where the policy
// asks, the approval of a safety officer who is neither of the two. The last of
// these signatures clears the technician on that revision until its date plus the
// months of the policy, that day included. One sitting carries one clearance:
// more rebuilds do not lengthen it, a new sitting begins the road anew.
//
// # When an event acts
//
// An act is judged once, when it is recorded, by what the record then held: no
// later entry makes a signature good or bad that was bad or good when it was
// given. So a void or a re-mark acts from its own entry on, never earlier, and
// the register for yesterday still shows yesterday. An entry whose clock lies
// before that of the entry in front of it acts from that one's instant on.
//
// A rebuild that is struck out ends the clearance in which it had part, and what
// remains is judged anew: with another rebuild signed the clearance may go on, with
// the days that one gives.
//
// Only what happened before it was recorded differs between the standing as known
// at its instant and as known later: a sitting counts from its hand-in, a rebuild
// from its stated end, a training from its day.
//
// # Revisions
//
// A sitting stands on the revision that it was taken on. A revision that adds,
// changes and removes no fact carries it over. Otherwise it stands on the old
// revision until a delta sitting on the changed facts is passed, the removed ones
// are read and signed for, and the hold points to be observed again are observed
// and signed. A changed fact that no question asks the person (no model writes on
// it, or it holds for another build than the person sat on) is read and signed for
// as a removed one is. Delta sittings have the policy's tries and waiting time,
// counted by themselves for the revision in force ([Register.MaySitDelta]); one that
// names what it asked shows those facts and no others. During the grace of the policy whoever was cleared is held and
// still cleared; after it, held and not cleared.
package clearance
