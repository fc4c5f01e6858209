// Package pdfcheck holds a PDF file against the rules of PDF/A-3a
// (ISO 19005-3, with ISO 32000-1) and PDF/UA-1 (ISO 14289-1) and says which it
// breaks, where. It is our own reading of the standards, so what passes is
// called "self-checked" and not conforming: no body has certified it. Clause
// numbers are from memory.
//
// It checks what a program can see. Whether alternative text tells the truth,
// whether the reading order makes sense or a heading is one, people judge. What
// the standards allow but this package does not know how to judge (typefaces
// other than TrueType under a composite font, optional content, transparency,
// JPEG 2000, forms drawn with marked content of their own …) is a finding too,
// under the rule "judged" or one that is stricter than its clause and says so:
// no findings means that everything in the file was looked at.
package pdfcheck
