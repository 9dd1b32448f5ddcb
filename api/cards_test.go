package api_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/testenv"
	"soloright/content"
	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// cleared makes a technician cleared on the pump by today.
func (s *site) cleared() api.Person {
	s.t.Helper()
	s.lone("L", false, nil)
	tech := s.people[api.Technician]
	s.passed(tech)
	s.clear(tech, "L")
	return tech
}

func (s *site) issue(c api.Caller, p api.Person) api.IssuedCard {
	s.t.Helper()
	out, err := s.IssueCard(s.t.Context(), c, api.IssueCard{Person: p.ID, Procedure: pump})
	s.do(err)
	return out
}

func TestACardShowsTheLiveStandingAndNothingMore(t *testing.T) {
	s := newSite(t)
	tech := s.cleared()
	until := s.standing(tech, content.Date{}).Until
	card := s.issue(s.as(tech), tech)
	if card.Name != tech.Name || card.Card.Revision != "L" || card.Card.Until != until || card.Title == "" {
		t.Errorf("on the card: %+v", card)
	}
	live := func() api.LiveCard {
		t.Helper()
		l, err := s.LiveCard(t.Context(), strings.ToUpper(card.Code))
		s.do(err)
		return l
	}
	if got, want := live(), (api.LiveCard{At: s.now(), Name: tech.Name, Procedure: card.Title, Cleared: true, Until: until}); got != want {
		t.Errorf("live: %+v, want %+v", got, want)
	}
	s.do(s.Suspend(t.Context(), s.role(api.SafetyOfficer), api.StandingCommand{Person: tech.ID, Procedure: pump, Reason: "a cap was found loose"}))
	if got := live(); got.Cleared || !got.Until.IsZero() {
		t.Errorf("suspended, and live it is %+v", got)
	}
	s.do(s.Reinstate(t.Context(), s.role(api.SafetyOfficer), api.StandingCommand{Person: tech.ID, Procedure: pump, Reason: "the cap was another’s"}))
	s.wait(400 * 24 * time.Hour)
	if got := live(); got.Cleared {
		t.Errorf("lapsed, and live it is %+v", got)
	}
	s.sound()
}

// In the grace after a revision the card's last day is that of the grace.
func TestACardInTheGraceEndsWithIt(t *testing.T) {
	s := newSite(t)
	tech := s.cleared()
	s.lone("M", false, func(text string) string { return strings.Replace(text, "9 N·m", "10 N·m", 1) })
	st := s.standing(tech, content.Date{})
	if st.State != clearance.Held || !st.Cleared || !st.Due.Before(st.Until) {
		t.Fatalf("in the grace: %+v", st)
	}
	card := s.issue(s.as(tech), tech)
	l, err := s.LiveCard(t.Context(), card.Code)
	s.do(err)
	if card.Card.Until != st.Due || l.Until != st.Due {
		t.Errorf("until %s on the card and %s live, want %s", card.Card.Until, l.Until, st.Due)
	}
}

func TestOneValidCardForAClearance(t *testing.T) {
	s := newSite(t)
	tech := s.cleared()
	own, officer := s.as(tech), s.role(api.SafetyOfficer)
	first, second := s.issue(own, tech), s.issue(officer, tech)
	gone := func(code string) string {
		t.Helper()
		_, err := s.LiveCard(t.Context(), code)
		return wantKind(t, err, api.NotFound).Message
	}
	if a, b := gone(first.Code), gone(strings.Repeat("a", 26)); a != b {
		t.Errorf("a revoked code says %q, an unknown one %q", a, b)
	}
	cards, err := s.Cards(t.Context(), own, tech.ID, pump)
	s.do(err)
	if len(cards) != 2 {
		t.Fatalf("the cards: %+v", cards)
	}
	i := slices.IndexFunc(cards, func(c api.Card) bool { return c.Revoked == nil })
	if i < 0 || cards[i].ID != second.Card.ID || cards[1-i].Revoked == nil || cards[1-i].Revoked.Reason != "a new card was issued" {
		t.Errorf("the cards: %+v", cards)
	}
	revoke := func(c api.Caller, reason string) error {
		return s.RevokeCard(t.Context(), c, api.RevokeCard{Card: second.Card.ID, Reason: reason})
	}
	wantKind(t, revoke(own, "lost"), api.Invalid)
	s.do(revoke(own, "lost on the way home"))
	if e := wantKind(t, revoke(officer, "lost on the way home"), api.Conflict); e.State != "revoked" {
		t.Errorf("revoked twice: %+v", e)
	}
	gone(second.Code)
	s.issue(own, tech) // and it goes on with another
	s.sound()
}

// Issued at once, by the person and the officer, one stands in the end.
func TestCardsIssuedAtOnce(t *testing.T) {
	for name, open := range map[string]func() *site{"SQLite": func() *site { return newSite(t) }, "PostgreSQL": func() *site { return newSiteAt(t, "", testenv.PostgreSQL(t)) }} {
		t.Run(name, func(t *testing.T) {
			s := open()
			tech := s.cleared()
			callers := []api.Caller{s.as(tech), s.role(api.SafetyOfficer)}
			const each = 6
			failed := atOnce(each, func(i int) error {
				_, err := s.IssueCard(t.Context(), callers[i%2], api.IssueCard{Person: tech.ID, Procedure: pump})
				return err
			})
			if failed != nil {
				t.Fatal(failed)
			}
			cards, err := s.Cards(t.Context(), callers[0], tech.ID, pump)
			s.do(err)
			valid := 0
			for _, c := range cards {
				if c.Revoked == nil {
					valid++
				}
			}
			if len(cards) != each || valid != 1 {
				t.Errorf("%d cards, %d of them valid; want %d and 1", len(cards), valid, each)
			}
		})
	}
}

func TestWhoMayHaveACard(t *testing.T) {
	s := newSite(t)
	tech := s.cleared()
	card := s.issue(s.as(tech), tech)
	other := s.add("other", api.Technician)
	for who, c := range map[string]api.Caller{"a trainer": s.role(api.Trainer), "an administrator": s.role(api.Administrator), "another": s.as(other)} {
		t.Run(who, func(t *testing.T) {
			_, err := s.IssueCard(t.Context(), c, api.IssueCard{Person: tech.ID, Procedure: pump})
			wantKind(t, err, api.Forbidden)
			_, err = s.Cards(t.Context(), c, tech.ID, pump)
			wantKind(t, err, api.Forbidden)
			_, err = s.CardToPrint(t.Context(), c, card.Code)
			wantKind(t, err, api.Forbidden)
			wantKind(t, s.RevokeCard(t.Context(), c, api.RevokeCard{Card: card.Card.ID, Reason: "because I say so"}), api.Forbidden)
		})
	}
	_, err := s.IssueCard(t.Context(), api.Bearer(""), api.IssueCard{Person: tech.ID, Procedure: pump})
	wantKind(t, err, api.Unauthenticated)
	_, err = s.IssueCard(t.Context(), api.Operator(), api.IssueCard{Person: tech.ID, Procedure: pump})
	wantKind(t, err, api.Forbidden) // a card is issued under one's own name
	_, err = s.IssueCard(t.Context(), s.as(other), api.IssueCard{Person: other.ID, Procedure: pump})
	if e := wantKind(t, err, api.Conflict); !strings.Contains(e.Message, "qualifying sitting outstanding") {
		t.Errorf("who is not cleared: %s", e.Message)
	}
	_, err = s.IssueCard(t.Context(), s.as(other), api.IssueCard{Person: other.ID, Procedure: "none"})
	wantKind(t, err, api.NotFound)
	wantKind(t, s.RevokeCard(t.Context(), s.role(api.SafetyOfficer), api.RevokeCard{Card: "none", Reason: "because I say so"}), api.NotFound)
	printed, err := s.CardToPrint(t.Context(), s.role(api.SafetyOfficer), card.Code)
	s.do(err)
	if printed.Card.ID != card.Card.ID || printed.Name != tech.Name {
		t.Errorf("to print: %+v", printed)
	}
}

// The code has 128 random bits (RFC 4648, 6: 26 characters of base 32) and is in
// no row and no entry.
func TestTheCodeIsKeptNowhere(t *testing.T) {
	s := newSite(t)
	tech := s.cleared()
	seen := map[string]bool{}
	for range 20 {
		card := s.issue(s.as(tech), tech)
		if len(card.Code) != 26 || seen[card.Code] || strings.Trim(card.Code, "abcdefghijklmnopqrstuvwxyz234567") != "" {
			t.Fatalf("the code %q", card.Code)
		}
		seen[card.Code] = true
		hash := sha256.Sum256([]byte(card.Code))
		if !bytes.Equal(card.Card.Code, hash[:]) {
			t.Error("what is kept is not the SHA-256 of the code")
		}
	}
	for _, e := range s.entries() {
		for code := range seen {
			if strings.Contains(fmt.Sprint(e), code) || strings.Contains(fmt.Sprint(e), fmt.Sprintf("%x", sha256.Sum256([]byte(code)))) {
				t.Errorf("an entry tells of a code: %+v", e)
			}
		}
	}
	var rows int
	if err := s.raw().QueryRow("SELECT COUNT(*) FROM cards WHERE length(code) = 32").Scan(&rows); err != nil || rows != 20 {
		t.Errorf("%d digests are kept, %v", rows, err)
	}
}

// atOnce runs n calls beside each other and returns what failed.
func atOnce(n int, do func(i int) error) error {
	errs := make([]error, n)
	var wait sync.WaitGroup
	for i := range n {
		wait.Go(func() { errs[i] = do(i) })
	}
	wait.Wait()
	return errors.Join(errs...)
}

func TestAlteredCardsAreNamed(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) { alteredCards(t, newSite(t)) })
	t.Run("PostgreSQL", func(t *testing.T) { alteredCards(t, newSiteAt(t, "", testenv.PostgreSQL(t))) })
}

func alteredCards(t *testing.T, s *site) {
	tech := s.cleared()
	first := s.issue(s.as(tech), tech)
	second := s.issue(s.as(tech), tech)
	s.sound()
	h := hand{t, s.raw(), s.url}
	at := func(kind ledger.Kind, id string) string {
		return fmt.Sprint(slices.IndexFunc(s.entries(), func(e ledger.Entry) bool { return e.Kind == kind && e.ID == id }))
	}
	in := strings.NewReplacer("{A}", first.Card.ID, "{B}", second.Card.ID, "{P}", tech.ID, "{O}", s.people[api.SafetyOfficer].ID,
		"{b}", at(ledger.CardIssued, second.Card.ID), "{r}", at(ledger.CardRevoked, first.Card.ID)).Replace
	for _, a := range []alteration{
		{name: "whose card it is", tables: "cards", want: []string{"The card {B} was altered: its row is not what entry {b} attests", "The card {B} was altered: whose it is"},
			do: func(h hand, in func(string) string) { h.do(in("UPDATE cards SET person = '{O}' WHERE id = '{B}'")) }},
		{name: "the last day", tables: "cards", want: []string{"The card {B} was altered: its row"},
			do: func(h hand, in func(string) string) {
				h.do(in("UPDATE cards SET until = 'for ever' WHERE id = '{B}'"))
			}},
		{name: "a byte of the digest of the code", tables: "cards", want: []string{"The card {B} was altered: its row"},
			do: func(h hand, in func(string) string) { h.byte("cards", "code", in("id = '{B}'")) }},
		{name: "a card put in", tables: "cards", want: []string{"The card forged is in the database and no entry"},
			do: func(h hand, in func(string) string) {
				h.do(in("CREATE TABLE other AS SELECT * FROM cards WHERE id = '{B}'"), "UPDATE other SET id = 'forged', code = (SELECT digest FROM revisions WHERE procedure = 'energy-isolation')",
					"INSERT INTO cards SELECT * FROM other", "DROP TABLE other")
			}},
		{name: "a card taken out", tables: "cards", want: []string{"Entry {b} attests the card {B}, and that is not in the database: it was removed"},
			do: func(h hand, in func(string) string) { h.do(in("DELETE FROM cards WHERE id = '{B}'")) }},
		{name: "a revocation taken out", tables: "card_revocations", want: []string{"Entry {r} attests the revocation of the card {A}, and that is not in the database"},
			do: func(h hand, in func(string) string) { h.do("DELETE FROM card_revocations") }},
		{name: "a reason", tables: "card_revocations", want: []string{"The revocation of the card {A} was altered: its reason is not what entry {r} attests", "its row"},
			do: func(h hand, in func(string) string) { h.do("UPDATE card_revocations SET reason = 'another'") }},
		{name: "a revocation put in", tables: "card_revocations", want: []string{"The revocation of the card {B} is in the database and no entry"},
			do: func(h hand, in func(string) string) {
				h.do(in("INSERT INTO card_revocations (card, revoked, revoked_by, reason) SELECT '{B}', revoked, revoked_by, reason FROM card_revocations WHERE card = '{A}'"))
			}},
	} {
		t.Run(a.name, func(t *testing.T) {
			h.t, s.t = t, t
			h.undone(strings.Fields(a.tables), func() {
				a.do(h, in)
				s.found(a, in)
			})
		})
	}
	h.t, s.t = t, t
	s.sound()
}
