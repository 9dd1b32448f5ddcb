package v1

const plainText = "text/plain"

var ledgerRoutes = []route{
	{method: "GET", path: "/ledger/checkpoint", id: "checkpoint", summary: "The signed head of the ledger, to be kept elsewhere (C2SP tlog-checkpoint)", status: 200, gives: plainText, errors: []int{no, none}, do: (*face).checkpoint},
	{method: "GET", path: "/ledger/keys", id: "ledgerKeys", summary: "The public keys of the ledger, in the order in which they signed", status: 200, result: LedgerKeys{}, errors: []int{no, none}, do: (*face).ledgerKeys},
	{method: "GET", path: "/ledger/export", id: "exportLedger", summary: "The whole ledger as a file that soloright-verify checks; one that breaks off does not verify", status: 200, gives: plainText, errors: []int{no, none}, do: (*face).exportLedger},
	{method: "GET", path: "/ledger/growth", id: "growth", summary: "The proof that the record only grew from an older size", query: []parameter{{"from", "the size of an older checkpoint, at least 1"}}, status: 200, gives: plainText, errors: []int{no, none, badField}, do: (*face).growth},
	{method: "GET", path: "/ledger/entries", id: "ledgerEntries", summary: "The entries about a record, the newest first, at most 50", query: []parameter{{"about", "the number of an entry, or the id of a sitting, a rebuild, a person, a procedure"}}, status: 200, result: LedgerEntries{}, errors: []int{no, badField}, do: (*face).ledgerEntries},
	{method: "GET", path: "/ledger/entries/:entry/proof", id: "proveEntry", summary: "The proof that an entry is on the record (C2SP tlog-proof); an id means the last entry about it", status: 200, gives: plainText, errors: []int{no, none}, do: (*face).proveEntry},
	{method: "POST", path: "/ledger/checks", id: "startCheck", summary: "Begin a check of the whole record, beside the requests; where one runs already, that is the one", body: CheckCommand{}, status: 202, result: RecordCheck{}, errors: []int{no, badField}, do: (*face).startCheck},
	{method: "GET", path: "/ledger/checks/last", id: "lastCheck", summary: "How far the check begun last has come, or what it found, and as of when", status: 200, result: RecordCheck{}, errors: []int{no, none}, do: (*face).lastCheck},
}
