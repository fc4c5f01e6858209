// Package uncertainty says how well a measured or derived value is known, and what follows from that at a limit.
//
// It works by two guides, whose numbers stand beside the code: JCGM 100:2008 (the budget, propagation to first order,
// degrees of freedom, coverage) with JCGM 101:2008 where first order is not enough, and JCGM 106:2012 (what a value with
// an uncertainty says about a limit).
//
// The rules of its world, where the guides leave a choice:
//
//   - A budget has lines, one for each source. Every line has a standard uncertainty and a shape. Degrees of freedom of 0
//     stand for infinitely many: whatever was not found from repeats.
//   - The expanded uncertainty covers 95.45 %, so that its factor is 2 where degrees of freedom do not count. It is never
//     more than all bounded lines together allow, and exact for the sum of two rectangles, which is what an instrument's
//     accuracy and the last digit of its display come to.
//   - Effective degrees of freedom are truncated down (JCGM 100, G.4.1).
//   - First order is doubted where the uncertainty is more than a tenth of the value, where the value is less than three
//     of its uncertainties from zero, where the formula bends inside ± 2u of an input, or where one rectangle makes up
//     nearly all of it. Then the trials of JCGM 101 decide, from a seed of the caller's: the same seed, the same answer.
//
// Products are rounded before they are added (the language would let some machines join the two), so that every machine
// gives the same figures.
//
// Nothing here knows of readings, briefs or verdicts. Values are plain numbers in one unit of the caller's.
//
// Files: line.go a budget's lines, combine.go their sum, coverage.go and student.go the factor, propagate.go through a
// formula, trials.go by Monte Carlo, limit.go and risk.go at a limit.
package uncertainty
