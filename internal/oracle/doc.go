// Package oracle holds tests alone, which compare what Witnessmark works out with programs of others: units with UCUM's
// (npm @lhncbc/ucum-lhc) and with GNU units, and expressions with npm mathjs. They need Node.js, npm and the units
// program, and the build tag oracle: `make oracle` has all of it.
//
// What differs for a good reason is listed in the test with that reason and with the difference itself, so that it is
// noticed when it goes away; nothing is left out.
package oracle
