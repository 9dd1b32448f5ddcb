package clearance

// Task is a step of the road that is still missing, for whoever shows where it is
// done.
type Task string

// The tasks, each named for what is to happen.
const (
	TaskPrerequisite Task = "prerequisite"
	TaskSitting      Task = "qualifying sitting"
	TaskDelta        Task = "delta sitting"
	TaskRead         Task = "read removed facts"
	TaskObserveAgain Task = "observe again"
	TaskRebuild      Task = "observed rebuild"
	TaskPerformed    Task = "technician signs"
	TaskObserved     Task = "assessor signs"
	TaskApproved     Task = "safety officer signs"
	TaskReinstate    Task = "reinstatement"
)

const sittingOutstanding = "qualifying sitting outstanding"

// A register is mostly people whose first step is the same: they share it. The
// capacity is its length, so that whoever appends makes a list of his own.
var (
	sittingTask = []Task{TaskSitting}
	sittingNext = []string{sittingOutstanding}
)

// todo adds what is missing, as a task and in words.
func (s *Standing) todo(t Task, text string) {
	if len(s.Tasks) == 0 && t == TaskSitting {
		s.Tasks, s.Next = sittingTask[:1:1], sittingNext[:1:1]
		return
	}
	s.Tasks, s.Next = append(s.Tasks, t), append(s.Next, text)
}
