// Package formula is the notation in which a tutor writes formulas and a trainee writes working: it reads, checks,
// compiles and evaluates them. Both use one grammar. What follows is the whole of it.
//
// # A first formula
//
//	qv × rho(tr) × cp((tf + tr)/2) × (tf − tr)
//
// qv, tf and tr are names: givens, readings or earlier figures of the brief, each declared there with its unit. rho and
// cp are functions of the trade. The figure asks for kW; the formula gives a power whatever the units of its names are,
// because every value carries its unit and is converted exactly. You never write 60, 3600 or 1000 to convert.
//
// Some more, each with the unit its figure asks for:
//
//	π × d²/4                                                  mm²   the area of a bore
//	U × A × (ti − te) + 0.34 Wh/(m³·K) × n × V × (ti − te)    W     a room's loss; constants carry their units
//	P50 × (((tf + tr)/2 − ti) / 50 K)^1.3                     W     a radiator off its rating
//	V × e / (1 − absolute(p0)/absolute(pe))                   L     a vessel, from gauge pressures
//	√(P × R)                                                  V     a root leaves whole powers of units
//	ceil(L / s) + 1                                           –     clips: a plain number is asked
//	min(In, 0.725 × It)                                       A     the smaller of two
//
// # Numbers
//
//	12.4      a decimal, with a point
//	1,250     thousands in groups of three, set off by commas or thin spaces
//	1.2×10^3  or 1.2×10³ or 1.2e3
//	½  2½     fractions; 1/2 without spaces is a fraction too
//	75 %      a hundredth each: 75 % × 20 kW is 15 kW
//
// A decimal comma is refused, never guessed: 4,19 says so; so is a space between thousands, because it is as often a sign
// left out. For 10 % more write × 1.1. There is no other constant than π: write 9.81 m/s².
//
// 1/2 m is half a metre. Where 1/(2 m) would fit the asked unit, too, or alone, you are asked for brackets; in a trainee's
// working the reading that fits is taken, and where both fit the tutor reads the line. Behind a division a fraction
// needs brackets: 4/1/2 is refused.
//
// # Units
//
// A unit stands behind its number, after a space or none, and has no spaces inside: 4.18 kJ/(kg·K), 22 mm, 0.34 Wh/m³K,
// 1.5 bar(g), 20 °C. Only net and gross follow after one: 24 kW gross. A number without a unit is a plain number.
//
// A unit goes before a name: in 5 m the m is metre even where a name m exists; write 5 × m for the name. 100 W/A is
// watt per ampere, 100 W / A divides by the name A. A unit may also follow a bracket or a power of ten: (3 + 4) m,
// 1.2 × 10³ W. Inside a unit only the part right behind a slash is divided, unless brackets hold more; W/m²K, W/mK and
// kJ/kgK mean what the trade means.
//
// # Names
//
// Latin and Greek letters, digits, _ and ′, beginning with a letter: tf, Δt, t1, Q_hw, η. Subscript digits count as
// digits. Capital and small letters differ; a name has at most 80 bytes and is none of "and", "or" and "pi". π (or pi) is
// the number, and always stands alone: πd² is π × d². A name that is not found is answered with what was probably meant.
//
// # Signs, from the weakest to the strongest
//
//	a + b   a − b
//	a × b   a · b   a * b   a x b   a / b   a ÷ b      from left to right
//	−a
//	a²   a^2   a^-1   a^n   a^(1/2)                    2^3^2 is 2^9; −2² is −4
//	√a
//
// × may be left out before a bracket or √, and between a number or π and a name: 3(a + b), 2πd, 0.7 tf. It may not be
// left out behind a division, because 1/2π and a/2(b + c) can be read two ways: write brackets. A name right before a
// bracket is a function: write a × (b + c), never a(b + c).
//
// The letter x counts as × between two values where a space, a digit or a bracket follows it: 3 x 4, 3x4, and 3 x -4 with
// the minus right before its number. A brief with a name x has to write ×.
//
// Look-alikes are read as what they look like: every kind of minus and dash, full-width digits and signs, Ω and µ in
// either code. Letters of other alphabets, and characters that cannot be seen, are refused at their place.
//
// # Functions of the notation
//
//	√a or sqrt(a)   min(a, b, …)   max(a, b, …)   abs(a)
//	ln(a)   log10(a)   exp(a)                of plain numbers
//	mean(a, b, …)                            of values of one kind, as repeated readings are
//	sd(a, b, …)   u_mean(a, b, …)            how they spread: their experimental standard deviation, and that of their mean
//	ceil(a)   floor(a)                       the next whole number up or down, of plain numbers
//	sin(a)   cos(a)   tan(a)                 a plain number counts as degrees; rad or ° may be given
//	atan(a)                                  gives an angle
//	interp(x, x1, y1, x2, y2, …)             straight lines between the points of a table; outside of it there is none
//	kelvin(t)                                a temperature counted from absolute zero, for ratios
//	absolute(p)   gauge(p)                   between gauge and absolute pressure at 101 325 Pa, or at a second value
//
// Put a space behind a comma between two numbers, so that it is not taken for thousands. The functions of the trade
// (properties of water, tube bores and so on) come with their own list and sources. Formulas do not round: the figure's
// tolerance and rounding say how. There are no loops, no assignments and no functions of your own; use an earlier
// figure for a part.
//
// # Temperatures, pressures, levels
//
// A name or number in °C is a temperature, one in K a difference. The difference of two temperatures is in K; a
// temperature plus or minus a difference is a temperature; a mean is allowed, (tf + tr)/2 or 0.7 tf + 0.3 tr, because
// its weights sum to 1. Anything else done to a temperature is refused: multiply differences, or use kelvin(t).
//
// A pressure in bar(g) is measured from the air around, in bar(a) from vacuum, in bar it is not said. Gauge and absolute
// do not add up, and nothing is divided by a gauge pressure: write absolute(p). The difference of two is a plain
// pressure.
//
// Levels in dB, dBm and pH are added and subtracted only. Net and gross figures (% net, kW gross) do not add up.
//
// # Conditions
//
// Only choices and cross-checks have conditions; a formula has no comparison.
//
//	tr < tf and tf ≤ 85 °C
//	0 K < dT ≤ 30 K or n = 0
//
// The signs are < ≤ > ≥ = (also <= and >=); "and" binds more tightly than "or"; brackets group. Values that agree to
// 1e-9 count as equal.
//
// # Working
//
// A trainee's line is a formula, or several joined by = or ≈, with a label before the first = or a colon:
//
//	Q = 12.4 ÷ 60 × 0.988 × 4.18 × (69.8 − 51.3) = 15.79 = 15.8 kW
//
// Units may be left out: a line is worked out with its units and as bare numbers. Names may stand side by side for a
// product (m c Δt) and before a bracket, and are found whatever their case; dT, DT, ΔT and delta T are one name. A unit is
// found in any case where only one can be meant. Degrees written for a difference are read as K. Each of these is told in
// a note.
//
// Numbers are exact as they are written, but for one kind: a number that agrees, to its last digit, with an earlier result
// of the trainee's own was rounded, and stands for anything within half of its last place. From that follows the range
// within which a line's result may lie. A number that agrees with a given is that given.
//
// # What is checked, and when
//
// Names, units and kinds are checked when a formula is compiled, never when it runs. The result must be what the figure
// asks for. When it runs only arithmetic can fail: division by zero, the root of a negative number, a value outside a
// table, a result beyond 1e30. Every message points at the character.
//
// # Limits
//
// 4096 bytes a formula or condition and 400 a line of working, with at most 20 equals signs; 200 numbers and names;
// brackets 40 deep; exponents up to 9, and whole where units are raised unless a root leaves whole ones; numbers of up to
// 24 digits between 1e-30 and 1e30. A formula always ends, and its cost is known before it runs: one step for each sign.
// Reading costs at most 64 steps a byte, whatever is typed.
//
// # For programmers
//
// Parse gives a tree (Root), Compile a register program of four-byte steps, Eval runs it on float64 without allocating.
// The steps are data, and other interpreters run the same: EvalInterval ranges of values, EvalGradient derivatives, a Batch
// many rows, MonteCarlo values drawn from distributions. Cost counts the steps. Values are in SI base units, temperature
// points in kelvin. Powers, logarithms and exponentials are the package's own, the same bits on every machine. Expr.String
// prints in canonical form, and Parse reads the same tree from it. A Line is formulas joined by signs of equality; its
// Pieces are what MathML and the portfolio typeset, and where they may break.
//
// Variants edits the tree for the slips that people are known for, Thumbs for the rules of thumb that practice works by. A
// Family runs a formula's variants at once and works out what they share once.
//
// A Reader reads lines of working one after another. It evaluates them with the compiler itself, which does each step at
// once where the values are at hand, and keeps its room: a line in order allocates nothing. Its trees are good until it
// reads again; those of Parse and ParseWorking stay.
package formula
