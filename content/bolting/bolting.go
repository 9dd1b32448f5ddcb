// Package bolting holds bolt patterns and the order in which their fasteners are
// tightened, and judges an order against a rule.
//
// Fasteners are named by their places, 1 to N. On a circle the places are numbered
// clockwise from 12 o'clock; elsewhere in the order in which the points are given.
// A sequence lists the places in the order in which they are tightened.
//
// A rule judges one pass. The crossing rule reads the sequence in pairs (first and
// second, third and fourth, …):
//
//   - Equally spaced circle, N even: (a) the two of a pair are opposite; (b) where
//     4 divides N each four is two pairs a quarter turn apart and is a group,
//     otherwise each pair is a group; (c) the next group is no neighbour of the last
//     (no fastener of one beside one of the other) while an unused group that is not
//     a neighbour remains; (d) for N of 6 or more no fastener directly follows its
//     neighbour.
//   - N odd, 5 or more: each next fastener is (N−1)/2 places away on the whole
//     circle, either way.
//   - Four in a rectangle: one diagonal, then the other. Longer rectangles and
//     oblongs: opposite pairs through the centre, the distance from the centre never
//     falling.
//   - Otherwise (fewer than 4, no central symmetry, uneven spacing) the procedure
//     pins a sequence.
//
// A verdict is the same for every rotation and reflection of the joint, and a
// sequence that is right so far can always be finished: no rule has a dead end.
package bolting
