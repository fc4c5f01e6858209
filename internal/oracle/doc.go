// Package oracle holds tests alone, which compare what Witnessmark works out with programs of others: units with UCUM's
// (npm @lhncbc/ucum-lhc) and with GNU units, expressions and the trade's formulas with npm mathjs, and the tables of check
// values, which are worked again as well, with Debian's python3-iapws, python3-fluids, python3-uncertainties and scipy. They
// need Node.js, npm, the units program, /usr/bin/python3 with those packages, and the build tag oracle: `make oracle` has all
// of it.
//
// What differs for a good reason is listed in the test with that reason and with the difference itself, so that it is
// noticed when it goes away; nothing is left out.
package oracle
