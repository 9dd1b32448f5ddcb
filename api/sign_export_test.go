package api

import "context"

// Again proves anew who the caller is, as every signing does.
func Again(ctx context.Context, a *App, c Caller, password, about string) error {
	return a.again(ctx, c, password, about)
}
