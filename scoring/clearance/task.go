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

// todo adds what is missing, as a task and in words.
func (s *Standing) todo(t Task, text string) {
	s.Tasks, s.Next = append(s.Tasks, t), append(s.Next, text)
}
