package paper

import (
	"fmt"
	"strings"
)

func (p *evidencePrint) entries() {
	p.heading("Entries of the ledger")
	if len(p.e.Entries) == 0 {
		p.text(body, "This record has no ledger.")
		return
	}
	p.text(body, "Each entry attests part of what stands above. Its leaf hash is the SHA-256 of a zero byte and its text (RFC 6962, 2.1), in base64; its text and its proof are in the file of proofs, under its number.")
	p.gap(1.5)
	var rows [][]string
	for _, e := range p.e.Entries {
		rows = append(rows, []string{fmt.Sprint(e.N), p.when(e.At), string(e.Kind) + "\n" + e.About, e.Leaf})
	}
	p.table([]column{{"Entry", 0.07, small}, {"When", 0.16, small}, {"Kind, about", 0.33, small}, {"Leaf hash", 0.44, plain.at(6.5)}}, rows)
}

// check says how to check all of it without the program and its database.
func (p *evidencePrint) check() {
	if p.e.Checkpoint == "" {
		return
	}
	p.heading("Checkpoint, and how to check it offline")
	p.text(body, "The signed head of the ledger under which the entries are proved:")
	p.gap(1)
	p.text(plain, p.e.Checkpoint)
	p.gap(1.5)
	p.text(body, "Its public keys, in the order in which they signed. Whoever checks has them from elsewhere, and compares:")
	p.gap(1)
	p.text(plain, strings.Join(p.e.Keys, "\n"))
	p.gap(1.5)
	p.text(body, "Take the file of proofs from the page of this evidence, unpack it, and for each entry:")
	p.gap(1)
	p.text(plain, "soloright-verify proof "+ProofName(p.firstEntry())+" --key "+KeysName)
	p.gap(1.5)
	p.text(body, "It answers SOUND and shows the entry. Form, answers, outcome, sheet and text of the revision are attested by their SHA-256; whoever is given them works it out and compares.")
}

func (p *evidencePrint) firstEntry() int64 {
	if len(p.e.Entries) == 0 {
		return 0
	}
	return p.e.Entries[0].N
}
