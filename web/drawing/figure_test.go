package drawing

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"soloright/content"
	"soloright/content/bolting"
	"soloright/quiz"
)

func circleSheet(n, rotation int, mirror bool) quiz.Sheet {
	s := quiz.Sheet{Figure: &quiz.Figure{Joint: &quiz.JointFigure{Title: "cap", Pattern: bolting.Pattern{Shape: bolting.Circle, Count: n}, Rotation: rotation, Mirror: mirror}},
		Interaction: quiz.Interaction{Kind: quiz.Sequence}}
	for i := range n {
		s.Interaction.Options = append(s.Interaction.Options, quiz.Option{ID: fmt.Sprintf("o%d", i), Text: string(rune('A' + i))})
	}
	return s
}

func TestJointDrawsEveryFastenerOnce(t *testing.T) {
	for _, n := range []int{3, 4, 5, 8, 12, 16, 24} {
		got := string(Figure(circleSheet(n, 15, false), quiz.Answer{}))
		if spots := strings.Count(got, "data-option="); spots != n {
			t.Errorf("%d fasteners: %d spots drawn", n, spots)
		}
	}
}

func TestJointShowsTheOrderGivenSoFar(t *testing.T) {
	got := string(Figure(circleSheet(4, 0, false), quiz.Answer{Options: []string{"o2", "o0"}}))
	for id, want := range map[string]string{"o2": "1", "o0": "2", "o1": "", "o3": ""} {
		m := regexp.MustCompile(`data-option="` + id + `".*?<text class="place"[^>]*>([^<]*)</text></g>`).FindStringSubmatch(got)
		if m == nil || m[1] != want {
			t.Errorf("fastener %s shows %q, want %q", id, m, want)
		}
	}
}

// Where the fasteners are not the options they stand beside their labels, those already
// tightened with their numbers, and none can be tapped.
func TestJointWithLabelsIsNotLive(t *testing.T) {
	s := circleSheet(4, 0, false)
	s.Interaction = quiz.Interaction{Kind: quiz.Choice, Options: []quiz.Option{{ID: "a", Text: "R"}}}
	s.Figure.Joint.Labels, s.Figure.Joint.Tight = []string{"P", "Q", "R", "S"}, []int{3, 1}
	got := string(Figure(s, quiz.Answer{Options: []string{"a"}}))
	if strings.Contains(got, "data-option") {
		t.Error("a fastener that is no option can be tapped")
	}
	numbers := regexp.MustCompile(`<text class="place"[^>]*>([^<]*)</text></g><text class="place letter"[^>]*>([^<]*)<`).FindAllStringSubmatch(got, -1)
	var seen []string
	for _, m := range numbers {
		seen = append(seen, m[1]+m[2])
	}
	if want := "2P Q 1R S"; strings.Join(seen, " ") != want {
		t.Errorf("drawn %q, want %q", seen, want)
	}
}

// Rotation and mirroring turn the drawing only: distances between places stay.
func TestSpreadKeepsTheJoint(t *testing.T) {
	plain, _ := spread(circleSheet(8, 0, false).Figure.Joint, 150)
	for _, f := range []*quiz.JointFigure{circleSheet(8, 45, false).Figure.Joint, circleSheet(8, 110, true).Figure.Joint} {
		turned, _ := spread(f, 150)
		for i := range plain {
			for j := range plain {
				a := math.Hypot(plain[i].x-plain[j].x, plain[i].y-plain[j].y)
				b := math.Hypot(turned[i].x-turned[j].x, turned[i].y-turned[j].y)
				if math.Abs(a-b) > 1e-9 {
					t.Fatalf("distance of places %d and %d is %g, turned %g", i+1, j+1, a, b)
				}
			}
		}
	}
	if plain[0].x > 1e-9 || plain[0].y > -149 {
		t.Errorf("place 1 of a circle is drawn at %v, want 12 o'clock", plain[0])
	}
	if plain[1].x <= 0 {
		t.Errorf("place 2 is drawn at %v, want clockwise from place 1", plain[1])
	}
}

// On a phone of 390 CSS px the figure of 440 units is 327 px wide between the
// edges of the sheet. A glove needs 44 px.
func TestTargetsAreWideEnoughForGloves(t *testing.T) {
	for _, n := range []int{4, 6, 8, 12, 16} {
		got := string(Figure(circleSheet(n, 0, false), quiz.Answer{}))
		all := regexp.MustCompile(`class="hit"[^>]* r="([0-9.]+)"`).FindAllStringSubmatch(got, -1)
		if len(all) != n {
			t.Errorf("%d fasteners: %d can be tapped", n, len(all))
		}
		for _, m := range all {
			r, err := strconv.ParseFloat(m[1], 64)
			if px := 2 * r * 327 / 440; err != nil || px < 44 {
				t.Errorf("%d fasteners: one is %.1f px wide to the touch, %v", n, px, err)
			}
		}
	}
}

func TestFacingLabelsItsEndsAndEscapes(t *testing.T) {
	f := &quiz.Figure{Facing: &quiz.FacingFigure{Part: "seal", Left: `<air> & "oil"`, Right: "centre"}}
	left := string(Option(quiz.Sheet{Figure: f}, quiz.Option{Drawn: &quiz.Drawn{Shape: content.ShapeCupSeal, Toward: "left"}}))
	right := string(Option(quiz.Sheet{Figure: f}, quiz.Option{Drawn: &quiz.Drawn{Shape: content.ShapeCupSeal, Toward: "right"}}))
	if left == right {
		t.Error("the two ways round are drawn alike")
	}
	if strings.Contains(left, "<air>") || !strings.Contains(left, "&lt;air&gt;") {
		t.Errorf("labels are not escaped: %s", left)
	}
	if !strings.Contains(right, "open side toward the centre") {
		t.Errorf("the text alternative does not say what is seen: %s", right)
	}
}

func TestStackHasASlotForEachLayer(t *testing.T) {
	for _, in := range []string{"bore", "rod"} {
		s := quiz.Sheet{Figure: &quiz.Figure{Stack: &quiz.StackFigure{In: in, From: "outside", Far: "centre", Places: 6,
			Placed: []quiz.Option{{Drawn: &quiz.Drawn{Shape: content.ShapeORing}}}}}}
		got := string(Figure(s, quiz.Answer{}))
		if n := strings.Count(got, "data-slot="); n != 6 {
			t.Errorf("%s: %d slots, want 6", in, n)
		}
		if n := strings.Count(got, "data-part"); n != 1 {
			t.Errorf("%s: %d parts lie in it, want 1", in, n)
		}
	}
}

// The closed end of a bore is the far end, on whichever side it is drawn: the
// wall, the label of the far end and the first layer stand together.
func TestAMirroredBoreIsClosedAtTheFarEnd(t *testing.T) {
	for _, mirrored := range []bool{false, true} {
		f := &quiz.StackFigure{In: "bore", From: "outside", Far: "centre", Places: 6, Mirrored: mirrored,
			Placed: []quiz.Option{{Drawn: &quiz.Drawn{Shape: content.ShapeORing}}}}
		got := string(Figure(quiz.Sheet{Figure: &quiz.Figure{Stack: f}}, quiz.Answer{}))
		if turned := strings.Contains(got, `scale(-1 1)"><path class="ground" d="M14 12`); turned != mirrored {
			t.Errorf("mirrored %v: the body is turned: %v", mirrored, turned)
		}
		farFirst := strings.Index(got, ">centre<") < strings.Index(got, ">outside<")
		x := regexp.MustCompile(`data-slot="1" transform="translate\(([0-9.]+) `).FindStringSubmatch(got)
		if farFirst == mirrored || x == nil || (x[1] == "59") == mirrored {
			t.Errorf("mirrored %v: far end first %v, slot 1 at %v", mirrored, farFirst, x)
		}
	}
}
