// @ts-check
// What stands by a field while it is typed into; the first field that is touched brings it.
import './keys.js';
import './look.js';
