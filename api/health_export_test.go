package api

// WaitHealth waits for the analysis of items that is under way, if any.
func WaitHealth(a *App) {
	a.health.mu.Lock()
	ended, running := a.health.ended, a.health.now != nil
	a.health.mu.Unlock()
	if running {
		<-ended
	}
}
