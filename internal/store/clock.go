package store

// Clock is how far a phone's clock can be trusted for one thing that it captured.
type Clock struct {
	OffsetMS *int64 // by how much the server's clock was ahead of the phone's when the thing was sent, ms; nil where the phone did not say
	Steady   bool   `db:"clock_steady"` // it was the same when the thing was captured
}
