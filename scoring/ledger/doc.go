// Package ledger is the tamper-evident record: entries that are only ever
// appended, the hash tree over them, signed checkpoints of that tree, proofs,
// and the export that an auditor checks with nothing but the file and a public
// key.
//
// The package holds no state and opens no database. Who keeps the record writes,
// in one transaction, what an act changed, the entry that attests it, the hashes
// that [Append] returns, and the new [Head].
//
// Everything that it stores or hands out is text, specified here. Every line ends
// in a newline (U+000A), numbers are decimal without leading zeros, hashes are
// standard base64 with padding, and entries are counted from 0.
//
// # Entry
//
// An entry attests one act. It carries ids and digests and no names:
//
//	soloright entry 1 sitting.handed-in mzxw6ytboi 2026-11-25T13:48:00.123456Z
//	answers: 6b86b273ff34fce19d6b804eff5a3f5747ada4eaa22f1d49c01e52ddb7875b4b
//	outcome: to confirm
//	person: nbswy3dp
//
// The first line holds the format and its version, the kind of act, the id of the
// record that it attests and the instant in UTC and whole microseconds, one space
// apart. After it stand attributes, each "key: value", sorted by key in byte order,
// no key twice. A kind is one or more words joined by full stops or hyphens, a key
// one or more joined by hyphens, a word one or more of a–z and 0–9. An id is
// visible ASCII without spaces, at most 200 bytes. A value is 1 to 1000 bytes of
// printable UTF-8 that neither begins nor ends with a space. An entry has at most
// [MaxEntry] bytes. There is no blank line in an entry, so one can end it.
// [Parse] reads exactly what [Entry.MarshalText] writes.
//
// # Tree
//
// Entries are the leaves of a Merkle tree by RFC 6962 §2.1 with SHA-256: the leaf
// hash is SHA-256(0x00 ‖ entry), the hash of a node SHA-256(0x01 ‖ left ‖ right).
// The hash of every complete subtree is stored, at the place that
// tlog.StoredHashIndex gives it: with entry n its leaf hash and then, smallest
// first, those of the subtrees that n completes, 1 + (trailing one bits of n) in
// all. They are written once and never changed, and from them a proof can be made
// at any size.
//
// # Checkpoint and key
//
// A checkpoint is a C2SP tlog-checkpoint (c2sp.org/tlog-checkpoint), a signed note
// (c2sp.org/signed-note) of origin, size and root:
//
//	workshop.example/ledger
//	3
//	NtNe29x1qntfRE/rjMVSHeSpp2JZQSwKet4aywhP+LA=
//
//	— workshop.example/ledger 3lgFL1u+MIDlHyQSb9TKn8RBXKneiMdUFGexGzlOvLZKHMw5aOaNYaEAilweXGyMycZBUzJnWTprKpl+Rhxzin2OCQc=
//
// The name of the key is the origin. A key signs checkpoints from a size on, until
// the next key takes over. The handover is itself on the record: the entry before
// that size is of kind [KeyRotated] and its attribute "key" is the SHA-256, in
// hexadecimal, of the new verifier key; the checkpoint of that size is signed by
// the old key and the new one. So whoever holds one public key of the ledger can
// follow it to every later one. [Rotate] makes all of it.
//
// # Proofs
//
// That an entry is in the record is shown by a C2SP tlog-proof
// (c2sp.org/tlog-proof); the extra data is the entry:
//
//	c2sp.org/tlog-proof@v1
//	extra c29sb3JpZ2h0IGVudHJ5IDEgc2l0dGluZy5oYW5kZWQtaW4gYWN0LTEgMjAyNi0xMS0yNVQxMzowMTowMC4xMjM0NTZaCmJ5OiBwZXJzb24tMQpkaWdlc3Q6IGEwZTVmNTc4NmY4YTIyODlkOTM0ZWNlMTI1ZjJiYjQ3NzIwZmRjY2ZmMWFlNGQwMTQ3OTFkZjNmOTc2ZjYxNTEK
//	index 1
//	Tb1OlaSQcsNppF9MfWHIGwx99mFn5kdUeIlBpdOq5QM=
//	4lriQuBcbBzqttqV96NUvmQ1xC4CY8g+nMP6McMqWI0=
//
//	workshop.example/ledger
//	3
//	NtNe29x1qntfRE/rjMVSHeSpp2JZQSwKet4aywhP+LA=
//
//	— workshop.example/ledger 3lgFL1u+MIDlHyQSb9TKn8RBXKneiMdUFGexGzlOvLZKHMw5aOaNYaEAilweXGyMycZBUzJnWTprKpl+Rhxzin2OCQc=
//
// That the record only grew from one size to another is shown by an old size, the
// consistency proof of RFC 6962 §2.1.2 and the later checkpoint, which is the text
// that c2sp.org/tlog-witness specifies for a checkpoint sent to a witness:
//
//	old 2
//	4lriQuBcbBzqttqV96NUvmQ1xC4CY8g+nMP6McMqWI0=
//
//	workshop.example/ledger
//	3
//	NtNe29x1qntfRE/rjMVSHeSpp2JZQSwKet4aywhP+LA=
//
//	— workshop.example/ledger 3lgFL1u+MIDlHyQSb9TKn8RBXKneiMdUFGexGzlOvLZKHMw5aOaNYaEAilweXGyMycZBUzJnWTprKpl+Rhxzin2OCQc=
//
// # Export
//
// An export is the whole record in one file:
//
//	soloright export 1
//	origin workshop.example/ledger
//	size 3
//	key 0 workshop.example/ledger+de58052f+AYqI4910CfGV/VLbLTy6XXLKZwm/HZQSG/N0iAG0D29c
//	key 2 workshop.example/ledger+e5550e63+AYE5dw6ofRdfVqNUZsNMfszLjYqRtO43ol32D1uPybOU
//
//	0 Tb1OlaSQcsNppF9MfWHIGwx99mFn5kdUeIlBpdOq5QM=
//	soloright entry 1 account.added act-0 2026-11-25T13:00:00.123456Z
//	by: person-0
//	digest: 4f40adf24fb5bb83573262b64663f9d35944616461713a803dcd703a32d052ba
//
//	1 d2dKEqXG9kMploinqvhZlPJPnyMRQ/x+bnICoqJyA7U= uuybjZ0X8U//1wPu4Dqn67a/Ir0nLQ4bNwnQYk3xkcQ=
//	soloright entry 1 key.rotated 2 2026-11-25T13:01:00.123456Z
//	key: 8b21a382644c99b833a0e1c83039ed965fc11b29d499da4b9183c9af3a59fd48
//
//	checkpoint 2
//	workshop.example/ledger
//	2
//	uuybjZ0X8U//1wPu4Dqn67a/Ir0nLQ4bNwnQYk3xkcQ=
//
//	— workshop.example/ledger 3lgFL5nistScEsiM1dmRyg9WJDhH9Hom+WSP7R4rzVUv17DFe75/WjSFos0zns+HoMoG0tC5DndhJcEBwJTq++A/aAs=
//	— workshop.example/ledger 5VUOY2YiR57ZxkXd4WIgMXooKbQJpoiKOAtB5doYlD6gwH/t5zhe2+ZYocsdm36z+nsW/Z9wjk1WMx0bWAdaxCwxmwA=
//
//	2 4lriQuBcbBzqttqV96NUvmQ1xC4CY8g+nMP6McMqWI0=
//	soloright entry 1 rebuild.finished act-2 2026-11-25T13:02:00.123456Z
//	by: person-2
//	digest: 1089c6d31d44c943b717caf675a30284118b2f8f472db62966df2f364c9a9cfd
//
//	checkpoint 3
//	workshop.example/ledger
//	3
//	fE7VOjbYT5ufrZW2zgczNgXuorxOGOHN6IsRE1s41vY=
//
//	— workshop.example/ledger 5VUOY/umhHeXti4WNJKtQEj2mngb10LH5ZQ3Ud2txe+v0ykthtE4W13bIONm+V+wpHoOlXwSuU0NQ4lxL8y+I2HuDgA=
//
// It begins with the origin, the number of entries and the keys, each with the size
// that it is valid from. Then every entry, with its number and the hashes stored
// with it, and a blank line after it. Where a key took over stands the checkpoint of
// that size, signed by both. The last is the checkpoint of the whole, signed by the
// last key; the file ends with its signature.
//
// The root alone would tell that something is wrong and not where. The stored
// hashes tell where: an entry that was altered does not give its hash; if its hash
// was altered with it, then the hash over the two does not agree, and so on up. Only
// somebody who works out anew every hash up to the top leaves no trace but the root
// that was signed, or, who can sign too, none but a checkpoint kept elsewhere: then
// the place can be told no closer than between two checkpoints.
package ledger
