// Package formula is the notation: it reads, checks, compiles and evaluates formulas.
package formula
