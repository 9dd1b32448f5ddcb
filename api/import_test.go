package api_test

import (
	"errors"
	"regexp"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/content/library"
	"soloright/content/procfile"
)

func TestABrokenFileChangesNothing(t *testing.T) {
	s := newSite(t)
	src, err := library.Source("energy-isolation")
	if err != nil {
		t.Fatal(err)
	}
	broken := strings.NewReplacer("\nrevision:", "\nrevison:", "\nequipment:", "\nequipmant:").Replace(string(src))
	_, err = s.ImportProcedure(t.Context(), s.role(api.Trainer), api.Import{Name: "mine.yaml", Source: []byte(broken)})
	var bad *procfile.Errors
	if !errors.As(err, &bad) || len(bad.List) < 2 {
		t.Fatalf("error %v, want every error of the file", err)
	}
	p, err := s.Procedure(t.Context(), s.role(api.Technician), "energy-isolation", "")
	if err != nil || p.Revision == "" {
		t.Errorf("what is served changed: %v, %v", p, err)
	}
}

func TestARevisionIsNeverChanged(t *testing.T) {
	s := newSite(t)
	src, err := library.Source("energy-isolation")
	if err != nil {
		t.Fatal(err)
	}
	again := api.Import{Name: "mine.yaml", Source: src, Blueprint: library.BlueprintSource("energy-isolation")}
	res, err := s.ImportProcedure(t.Context(), s.role(api.Trainer), again)
	if err != nil || res.New {
		t.Errorf("the same text again: %+v, %v; want no error and nothing new", res, err)
	}
	again.Source = append(again.Source, "# a remark\n"...)
	_, err = s.ImportProcedure(t.Context(), s.role(api.Trainer), again)
	wantKind(t, err, api.Conflict)
	_, err = s.ImportProcedure(t.Context(), s.role(api.Technician), again)
	wantKind(t, err, api.Forbidden)
}

func TestANewRevisionIsServedFromThenOn(t *testing.T) {
	s := newSite(t)
	c := s.role(api.Technician)
	p, err := s.Procedure(t.Context(), c, "aodd-air-side", "")
	if err != nil {
		t.Fatal(err)
	}
	before := s.open(c, api.Qualifying)
	src, err := library.Source("aodd-air-side")
	if err != nil {
		t.Fatal(err)
	}
	s.wait(time.Second)
	next := regexp.MustCompile(`(?m)^revision: .*$`).ReplaceAllString(string(src), "revision: ZZ")
	if _, err := s.ImportProcedure(t.Context(), s.role(api.Trainer), api.Import{Name: "next.yaml", Source: []byte(next), Blueprint: library.BlueprintSource("aodd-air-side")}); err != nil {
		t.Fatal(err)
	}
	s.answer(c, before.ID, s.right)
	if r := s.hand(c, before.ID); r.Sitting.Revision != p.Revision {
		t.Errorf("the open sitting moved to revision %s", r.Sitting.Revision)
	}
	if after := s.open(c, api.Qualifying); after.Revision != "ZZ" {
		t.Errorf("a new sitting is on revision %s, want ZZ", after.Revision)
	}
}
