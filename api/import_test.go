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
	cmd := api.Import{Name: "next.yaml", Source: []byte(next), Blueprint: library.BlueprintSource("aodd-air-side")}
	res, err := s.ImportProcedure(t.Context(), s.role(api.Trainer), cmd)
	if err != nil || res.InForce || !res.New {
		t.Fatalf("imported by a trainer: %+v, %v; want it kept only", res, err)
	}
	if now, err := s.Procedure(t.Context(), s.role(api.Trainer), "aodd-air-side", ""); err != nil || now.Revision != p.Revision {
		t.Errorf("served before it is adopted: %v, %v", now, err)
	}
	cmd.Adopt = true
	_, err = s.ImportProcedure(t.Context(), s.role(api.Trainer), cmd)
	wantKind(t, err, api.Forbidden) // a trainer does not put it in force
	for range 2 {
		if res, err = s.ImportProcedure(t.Context(), api.Operator(), cmd); err != nil || !res.InForce || res.New {
			t.Fatalf("adopted by whoever runs the program: %+v, %v", res, err)
		}
	}
	s.answer(c, before.ID, s.right)
	if r := s.hand(c, before.ID); r.Sitting.Revision != p.Revision {
		t.Errorf("the open sitting moved to revision %s", r.Sitting.Revision)
	}
	if after := s.open(c, api.Qualifying); after.Revision != "ZZ" {
		t.Errorf("a new sitting is on revision %s, want ZZ", after.Revision)
	}
}
