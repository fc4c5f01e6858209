package portfolio

import "time"

// LogPage is what a portfolio prints of the centre's decision log: the state of the log that was signed, and where in it the
// decisions stand that the portfolio tells of. The proofs themselves are attached to the file.
type LogPage struct {
	Origin     string // of the log, as it names itself in Checkpoint
	Size       int64  // entries under Checkpoint
	Checkpoint string // the signed note, whole
	Keys       []string
	Witnesses  []string // keys of second parties that signed it too
	Entries    []LogEntry
}

// LogEntry is one entry of the log.
type LogEntry struct {
	Index  int64
	Kind   string // in words, such as "sign-off"
	What   string // it is about, such as "task 1, attempt 2, criterion 1.3"
	At     time.Time
	Digest string // of the leaf, hex
}
