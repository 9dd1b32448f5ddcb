package api

import (
	"context"
	"fmt"
	"regexp"
	"strings"

	"soloright/scoring/clearance"
)

// names are what the ids of the record stand for: the record itself holds none.
type names struct {
	people map[string]Person
	order  []string          // ids of everybody, by name
	titles map[string]string // of procedures, as imported last
}

func readNames(ctx context.Context, r Reader) (names, error) {
	n := names{people: map[string]Person{}, titles: map[string]string{}}
	people, err := r.People(ctx)
	if err != nil {
		return n, fmt.Errorf("read names: %w", err)
	}
	for _, p := range people {
		n.people[p.ID] = p
		n.order = append(n.order, p.ID)
	}
	revisions, err := r.CurrentRevisions(ctx)
	if err != nil {
		return n, fmt.Errorf("read titles: %w", err)
	}
	for _, rev := range revisions {
		n.titles[rev.Procedure] = rev.Title
	}
	return n, nil
}

// person is the printed name of a person; whoever runs the program has none.
func (n names) person(id string) string {
	if id == "" {
		return "the program"
	}
	if p, ok := n.people[id]; ok {
		return p.Name
	}
	return "somebody unknown"
}

// title is the title of a procedure; one that was never imported has its id only.
func (n names) title(id string) string {
	if t := n.titles[id]; t != "" {
		return t
	}
	return id
}

// like lists whoever has the text in his or her name, in any case, by name.
func (n names) like(text string) []string {
	text = strings.ToLower(text)
	var out []string
	for _, id := range n.order {
		if strings.Contains(strings.ToLower(n.people[id].Name), text) {
			out = append(out, id)
		}
	}
	return out
}

func (n names) line(s clearance.Standing) RegisterLine {
	l := RegisterLine{Standing: s, Title: n.title(s.Procedure)}
	if p, ok := n.people[s.Person]; ok {
		l.Name, l.Crew = p.Name, p.Crew
	} else {
		l.Name = n.person(s.Person)
	}
	if s.Missing == "" {
		return l
	}
	l.Reason = n.titled(s.Reason)
	l.Next = make([]string, len(s.Next))
	for i, text := range s.Next {
		l.Next[i] = n.titled(text)
	}
	return l
}

var prerequisite = regexp.MustCompile(`prerequisite (\S+) `)

// titled writes the title of a prerequisite for its id, where it has one: the word
// may stand in a reason that somebody wrote.
func (n names) titled(text string) string {
	return prerequisite.ReplaceAllStringFunc(text, func(found string) string {
		if title := n.titles[prerequisite.FindStringSubmatch(found)[1]]; title != "" {
			return "prerequisite “" + title + "” "
		}
		return found
	})
}

func (n names) lines(all []clearance.Standing) []RegisterLine {
	out := make([]RegisterLine, len(all))
	for i, s := range all {
		out[i] = n.line(s)
	}
	return out
}
