package store

import "context"

// LaterAttempts holds the trainee's attempts at the same task that come after one, in order of their numbers.
func (t *Tx) LaterAttempts(ctx context.Context, a Attempt) ([]Attempt, error) {
	return all[Attempt](t.reading(ctx), "later attempts", `SELECT `+attemptColumns+attemptFrom+`
		WHERE a.task_id = @task AND a.trainee_id = @trainee AND a.number > @number ORDER BY a.number FOR UPDATE OF a`,
		args{"task": a.Task, "trainee": a.Trainee, "number": a.Number})
}
