// Package pdfread reads PDF files (ISO 32000-1) that may have been made to
// harm: whatever the bytes are, reading ends, in bounded memory, with a file or
// with an error that says where and what.
//
// It is strict where readers differ, because a file that two readers read
// differently proves nothing: a key said twice in one dictionary, two objects
// over the same bytes, a table that leads in circles, a stream that runs into
// the next object are errors and are never repaired. Encrypted files are
// refused with ErrEncrypted.
//
// Open reads every object once, so that afterwards the accessors (Resolve,
// Dict, Array, …) need no error of their own: what is absent or of another
// kind comes back as the zero value, and a source that fails or changes later
// is kept for Err. Streams are read when asked for; pictures (DCTDecode) stay
// as they are.
//
// The package serves files of any size through an io.ReaderAt and keeps only
// its table and a bounded number of parsed objects. Clauses of ISO 32000-1 are
// from memory.
package pdfread

// What a file may ask of the memory and the time of whoever reads it.
const (
	// MaxHeld is the most bytes that Data gives back at once.
	MaxHeld = 32 << 20
	// MaxDecoded is the most bytes that one stream may give through a Reader.
	MaxDecoded = 1 << 30

	maxObjects   = 1 << 18  // entries of the tables together
	maxTables    = 256      // tables linked by /Prev
	maxNesting   = 64       // arrays and dictionaries inside one another
	maxValues    = 1 << 19  // values in one object
	maxString    = 8 << 20  // bytes of one string
	maxName      = 1 << 10  // bytes of one name or operator
	maxCached    = 32 << 20 // bytes of memory for objects that stay parsed
	maxPackedAll = 64 << 20 // bytes of memory for the objects of object streams
	perValue     = 64       // bytes of memory that a value takes besides its text
	maxPages     = 100_000
	maxLeaves    = 100_000 // entries of one name or number tree
	maxHops      = 32      // references to references
)
