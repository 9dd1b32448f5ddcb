package v1

var (
	lessonPeriod = []parameter{{"procedure", "a procedure's id; by default all"}, {"from", "the first day of the period, by default a year before the last"}, {"to", "its last day, by default today"}}
	lessonCrew   = parameter{"crew", "a crew's name; by default everybody"}
)

var lessonRoutes = []route{
	{method: "GET", path: "/lessons", id: "lessons", summary: "The crew against the facts, the lesson to give first at the head: 30 facts and 40 people at a time, or the whole without the intervals of each pair. The answer says as of when; while it is being worked out anew it says so", query: append(append([]parameter{}, lessonPeriod...), lessonCrew, parameter{"fact", "the first fact, worst first, counted from 1"}, parameter{"person", "the first person, by name, counted from 1"}, parameter{"whole", "yes: all facts and people"}), status: 200, result: Lessons{}, errors: []int{no, none, badField}, do: (*face).lessons},
	{method: "GET", path: "/lessons/facts/:procedure", id: "lessonFact", summary: "One fact: what the crew holds of it, who misses it, what they choose instead", query: append(append([]parameter{}, lessonPeriod[1:]...), lessonCrew, parameter{"fact", "the fact's id"}, parameter{"among", "all: judged among the facts of all procedures, as in lessons of no one procedure; by default among those of its own"}), status: 200, result: FactLesson{}, errors: []int{no, none, badField}, do: (*face).lessonFact},
	{method: "GET", path: "/lessons/people/:person", id: "lessonPerson", summary: "One person: what to practise next, and growth over time; your own needs no right", query: lessonPeriod, status: 200, result: PersonLesson{}, errors: []int{no, none, badField}, do: (*face).lessonPerson},
	{method: "GET", path: "/me/lessons", id: "myLessons", summary: "What to practise next, and your growth over time", query: lessonPeriod, status: 200, result: PersonLesson{}, errors: []int{no, none, badField}, do: (*face).lessonPerson},
}
