// Package marking re-runs a trainee's figures against a brief: the auto-marker.
//
// The same brief version and the same sheet always give the same result, byte for byte: there is no clock, no randomness
// and no I/O here, and every number is rounded to 12 significant digits before it is stored or shown. The marker advises;
// a person decides. Every finding carries a machine-readable code and a sentence each for the trainee and the tutor.
//
// The rules of its world, where they leave a choice:
//
//   - A line is one figure, one reading in one phase (over all its repeats), one cell of a grid, one whole sequence.
//   - A figure is compared in the asked unit. Where its unit is missing or does not fit, its number goes on in the asked
//     unit for the figures after it, so that the slip is paid for once; so it does where the digits are right under a
//     wrong prefix.
//   - Where an earlier figure is blank or cannot be read, its reference stands in for it, and the flag says so where it
//     matters. Where a reading is missing, cannot be read or is only a bound, what rests on it is for the tutor to read.
//   - A figure with a limit: the true value is judged by it. A stated value that keeps a limit which the true value breaks
//     is not right, although it lies inside its tolerance, unless the brief itself asked for that many figures.
//   - A safety-critical line blocks its criteria unless it is right; a safety-critical reading also until the tutor saw it
//     or a check reading agrees. Whatever rests on such a reading blocks as well.
//   - An earlier answer stands for what it may have been before it was rounded: anything between it and the true value where
//     it is a rounding of that, else half a unit of its last digit either way, of two significant figures at least. The
//     reference from the trainee's own figures is moved that far where it makes the stated figure right: full marks, and no
//     word of inconsistency. It is not moved across a limit, nor where the tolerance has a side or is exact; the reference
//     from the given and measured values is never moved, so that on a safety-critical line the true value decides
//     unrounded. Where roundings alone make the difference the trainee reads so.
//   - A reading whose brief states its instrument's accuracy has an uncertainty: the accuracy, the last digit, and the
//     spread of its repeats. Figures carry it on, from the readings up, so that what rests on one reading twice counts
//     once; two readings by one instrument share half of its accuracy. Nearer to a limit than the expanded uncertainty a
//     line is flagged as too close to call, and nothing else: no verdict, mark or block changes. A limit that carries its
//     margin is left alone.
//   - A guard band of the brief's own decides: a reading inside it is outside the limit, or for the tutor to read in three
//     states. A figure inside it keeps its verdict and is flagged as one that breaks its limit is. A reading known only as
//     a bound has no uncertainty, so its limit decides.
//   - A re-test is a new row: the latest decides, the earlier ones stay on record. A failed one that was followed by another
//     without a word of what was done in between is flagged, and blocks where it is safety-critical.
//   - In a grid the position that the row before showed counts as held, and held counts as that position, where the brief has
//     a word for holding. Where the row before does not say what it was the cell is for the tutor to read.
//   - What the wrong cells of a grid point at is advice on the whole test, by the faults that the brief declares: one fits
//     where it shows just what was seen, in every cell that is filled in. Else the nearest comes first and what explains the
//     most of the rest beside it; one that explains no more than it contradicts is never named. No verdict comes from it.
//   - Steps are in order by the times beside them, and keep the brief's waits; a time to the minute is any second of it.
//     Without times the ticks count alone.
//   - A cross-check that is broken by no more than the instruments' accuracy and last digits allow is a softer flag.
//   - The written working only raises flags. A calculation in bare numbers that differs from its result by a factor between
//     units (60, 1000, 3.6 …) counts as agreeing: the unit was changed in the head. On a wrong figure the working tells a
//     wrong method from wrong arithmetic: the method is right where the calculation as written comes to the right value,
//     with no factor allowed for, and the arithmetic is where every equals sign holds. A missing unit inside it is nobody's
//     fault; units that come to something else are said.
//   - A slip is looked for where a figure is wrong and does not follow from the trainee's own, from the given values and
//     from the trainee's own, by the digits that were stated. The slips are those that the brief declares and those made
//     from the figure's formula by one edit (formula.Variants). A declared one wins over one made that has the
//     same stated digits; beside any other that fits it is a candidate like that. A slip that nobody declared is looked for from three
//     stated figures on: at two every second wrong figure would look like one. It is named by what it does, advice to the
//     tutor and no more, so two figures with the same slip have the same key, and the second says that it was made afresh.
//   - A slip loses its mark once: what follows from a wrong figure is followed through, with full marks. One that comes to a
//     hundred times too much or too little that way is flagged: its size ought to have been looked at.
//   - A rule of thumb (a flat 4 % expansion, water at 1 kg/L and 4.2 kJ/(kg·K)) is right unless the brief rules it out, by
//     ruled-out beside its conventions or by declaring a slip that comes to the same. A figure has to have the rule's own
//     value, to half a per cent or the digits stated, so that nobody's tolerance is twice as wide. On a safety-critical
//     figure the true value decides, and the tutor reads it.
//
// Files: engine.go the run, values.go what names stand for, figure.go, choice.go, reading.go, check.go, grid.go, sequence.go,
// tick.go, retest.go the forms of item, diagnosis*.go what a grid points at, tolerance.go the comparison, prefix.go right
// digits of the wrong size, uncertain*.go measurement and rounding, slip.go and thumb.go what a figure looks like,
// working*.go the working run again, sentence.go what is said, explain*.go a figure or choice step by step, bulk*.go many sheets at
// once, sheet*.go the submission file, table.go the result as text, support.go what bears on a criterion, model.go the model
// answer.
package marking
