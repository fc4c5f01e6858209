// Package app has one method for each thing that a person can do.
//
// A method authorises the caller, loads, decides purely, then saves and records in one transaction. The JSON API and the
// HTML pages both call it and repeat nothing of it. What a caller may not see is NotFound; what they see but may not do
// is Forbidden; a page that has gone stale is a Conflict.
package app
