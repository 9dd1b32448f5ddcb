package crew

import (
	"math/rand/v2"
	"strings"

	"soloright/content"
	"soloright/quiz"
)

// What went wrong at the works.
const (
	// BadlyTaught is the fact that many people get the wrong way round.
	BadlyTaught content.FactID = "facing/rod-cup-seal"
	// OtherWay is the fact that the night crew learned another way.
	OtherWay content.FactID = "test/leak-by-test"
	// WrongKey is the fact that revision C of the flange procedure had wrong: the
	// better people answer what revision D says.
	WrongKey content.FactID = "inspection/seating-face/face-radial"
)

// mind is what a person holds.
type mind struct {
	skill float64 // chance of answering an item right
	crew  string
	shown bool // somebody showed the person alone how the rod cup seal faces
	sure  bool // holds everything
}

func mindOf(p Person) *mind { return &mind{skill: float64(p.Holds) / 100, crew: p.Crew} }

// learn moves the skill on after a sitting was gone through.
func (m *mind) learn() { m.skill = min(0.985, m.skill+0.012) }

// right draws whether the person answers an item as its key has it.
func (m *mind) right(it *quiz.Item, revision string, rnd *rand.Rand) bool {
	p := m.skill
	switch {
	case m.sure:
		p = 1
	case it.Lead == BadlyTaught && m.shown:
		p = 0.88
	case it.Lead == BadlyTaught:
		p = 0.7
	case it.Lead == OtherWay && m.crew == Night:
		p = 0.5
	case it.Lead == WrongKey && revision == EarlierFlange:
		p = min(0.96, max(0.04, 1-(m.skill-0.86)/0.13))
	}
	return rnd.Float64() < p
}

// answer is the person's answer to an item.
func (m *mind) answer(it *quiz.Item, revision string, rnd *rand.Rand) (quiz.Answer, error) {
	if m.right(it, revision, rnd) {
		return quiz.RightAnswer(*it)
	}
	return wrong(it, rnd)
}

// wrong is an answer that somebody gives who does not hold an item.
func wrong(it *quiz.Item, rnd *rand.Rand) (quiz.Answer, error) {
	a, err := quiz.RightAnswer(*it)
	if err != nil {
		return a, err
	}
	in := &it.Interaction
	switch in.Kind {
	case quiz.Match:
		for _, row := range it.Key.Rows {
			if row.Fact == it.Lead {
				a.Rows[row.Row] = otherBin(in.Bins, row.Bin, rnd)
			}
		}
	case quiz.Order, quiz.Sequence:
		rnd.Shuffle(len(a.Options), func(i, j int) { a.Options[i], a.Options[j] = a.Options[j], a.Options[i] })
	case quiz.Numeric:
		return quiz.Answer{Number: strings.Repeat("1", 1+rnd.IntN(2)) + "7"}, nil
	default:
		a.Options = []string{distractor(in.Options, a.Options, it.Lead, rnd)}
	}
	return a, nil
}

// otherBin is a bin that is not the key.
func otherBin(bins []quiz.Option, key string, rnd *rand.Rand) string {
	for {
		if b := bins[rnd.IntN(len(bins))].ID; b != key || len(bins) == 1 {
			return b
		}
	}
}

// distractor is an option that is not the key. Who learned something the wrong way
// takes the same one each time: the first that is none of the fixed last two for
// a facing, "renew" where the wrong verdict was printed.
func distractor(options []quiz.Option, key []string, lead content.FactID, rnd *rand.Rand) string {
	var others []quiz.Option
	for _, o := range options {
		if len(key) != 1 || o.ID != key[0] {
			others = append(others, o)
		}
	}
	if len(others) == 0 {
		return options[0].ID
	}
	switch lead {
	case BadlyTaught:
		return others[0].ID
	case WrongKey:
		for _, o := range others {
			if strings.Contains(strings.ToLower(o.Text), "renew") {
				return o.ID
			}
		}
	}
	return others[rnd.IntN(len(others))].ID
}
