package seed

// LoadWith is Load with pictures made by another function: drawing a hundred of them is slow under the race detector.
var LoadWith = load
