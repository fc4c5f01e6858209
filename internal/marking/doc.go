// Package marking re-runs a trainee's figures against a brief: the auto-marker.
//
// The same brief version and the same sheet always give the same result, byte for byte: there is no clock, no randomness
// and no I/O here, and every number is rounded to 12 significant digits before it is stored or shown. The marker advises;
// a person decides. Every finding carries a machine-readable code and a sentence each for the trainee and the tutor.
package marking
