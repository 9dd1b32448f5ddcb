package content

import (
	"fmt"
	"reflect"
	"strings"
)

// sectionOf says which section a key points into, by the key's name: whatever
// names a step is called step or after, and so on. Keys of blueprints and the
// layers of a stack, which point elsewhere, are checked where they belong.
var sectionOf = map[string]string{
	"after": "steps", "step": "steps",
	"part": "parts", "parts": "parts", "fastener": "parts",
	"joint": "joints", "stack": "stacks",
	"tool": "tools", "tools": "tools", "also_accepted": "tools",
	"builds": "builds", "greases": "surfaces",
}

// RefersTo returns the section whose ids a key names, "surfaces" for PART/SURFACE;
// "" for a key that names none.
func RefersTo(k Key) string {
	t := k.Type
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	switch {
	case t.Kind() != reflect.String:
		return ""
	case strings.HasSuffix(k.Name, "_step"):
		return "steps"
	}
	return sectionOf[k.Name]
}

// references checks that whatever names an element names one that exists.
func (c *checker) references(p *Procedure) {
	ids := c.sections(p)
	walk(reflect.ValueOf(p), "", func(f place) {
		section := RefersTo(f.Key)
		if section == "" || !f.value.IsValid() || f.value.IsZero() {
			return
		}
		switch {
		case f.value.Kind() == reflect.String:
			c.refers(f.path, f.value.String(), section, ids[section])
		case f.value.Kind() == reflect.Slice && f.value.Type().Elem().Kind() == reflect.String:
			for i := range f.value.Len() {
				c.refers(at(f.path, i), f.value.Index(i).String(), section, ids[section])
			}
		}
	})
}

func (c *checker) refers(path, id, section string, ids []string) {
	for _, known := range ids {
		if id == known {
			return
		}
	}
	remedy := fmt.Sprintf("name one that the section %s has, or add it there", section)
	if section == "surfaces" {
		remedy = "write PART/SURFACE with the ids of a part and of one of its surfaces"
	}
	remedy = didYouMean(id, ids, remedy)
	into := section
	if section == "surfaces" {
		into = "parts"
	}
	c.problems = append(c.problems, Problem{Path: path, Message: fmt.Sprintf("there is no %s %q", singular(section), id), Remedy: remedy, Into: into})
}

// sections lists the ids of each section of the file, and "part/surface" of each surface.
func (c *checker) sections(p *Procedure) map[string][]string {
	out := map[string][]string{}
	v := reflect.ValueOf(p).Elem()
	for _, k := range Keys(v.Type()) {
		if list := v.Field(k.Index); list.Kind() == reflect.Slice {
			for i := range list.Len() {
				out[k.Name] = append(out[k.Name], entryKey(list.Index(i), "id"))
			}
		}
	}
	for _, e := range p.Parts {
		for _, s := range e.Surfaces {
			out["surfaces"] = append(out["surfaces"], e.ID+"/"+s.ID)
		}
	}
	return out
}

func singular(section string) string { return strings.TrimSuffix(section, "s") }
