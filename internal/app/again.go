package app

import (
	"slices"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// What is sent again under the same id has no further effect, and that is acknowledged. It has to be the same, though: a
// form that comes back with something else in it under the id of its first sending would be acknowledged and lost.

// keptBefore says whether every entry is there already. One that is there with something else in it is Conflict.
func keptBefore(l loaded, entries []NewEntry) (bool, error) {
	there := make(map[uuid.UUID]store.Entry, len(l.Entries))
	for _, e := range slices.Concat(l.Entries, l.Held.Entries) {
		there[e.ID] = e
	}
	all := true
	for _, e := range entries {
		was, ok := there[e.ID]
		if ok && (was.Entry != e.Entry || was.Note != e.Note) {
			return false, fault.Conflict("This was sent before with something else in it, and what you changed since is not kept yet. Look at what stands there now, and send it once more.")
		}
		all = all && ok
	}
	return all, nil
}

// fileBefore finds a file that is there already under the same id; ok is false where there is none.
func fileBefore(l loaded, id uuid.UUID) (e store.Evidence, ok bool) {
	for _, e := range slices.Concat(l.Evidence, l.Held.Evidence) {
		if e.ID == id {
			return e, true
		}
	}
	return store.Evidence{}, false
}

// sameFile is Conflict where the file that is there is not the one that came.
func sameFile(was, now store.Evidence) error {
	if was.Digest == now.Digest && was.Item == now.Item {
		return nil
	}
	return fault.Conflict("Another file was sent before from this same form, so this one is not kept yet. Load the page again and add it once more.")
}
