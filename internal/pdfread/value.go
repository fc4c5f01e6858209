package pdfread

import "fmt"

// Value is one of the kinds below: Null, Bool, Integer, Real, String, Name,
// Array, Dict, Ref or *Stream.
type Value interface{ value() }

type (
	// Null is also what an absent object reads as.
	Null struct{}
	// Bool is true or false.
	Bool bool
	// Integer is a whole number.
	Integer int64
	// Real is a number with a point.
	Real float64
	// String holds the bytes of a string; Text reads them as words.
	String string
	// Name is a name without its slash, escapes undone.
	Name string
	// Array is a list of values, references not yet followed.
	Array []Value
	// Dict is a dictionary, references not yet followed.
	Dict map[Name]Value
)

// Ref points at an indirect object. The zero Ref points at none.
type Ref struct{ Number, Generation int }

func (r Ref) String() string { return fmt.Sprintf("%d %d R", r.Number, r.Generation) }

// Stream is a dictionary with bytes that stand in the file.
type Stream struct {
	Dict Dict
	// Offset is where the bytes begin, Length how many /Length says they are.
	Offset, Length int64
	// Object is the number of the object that the stream is.
	Object int
}

// keyword is anything bare: operators, obj, R, the closing brackets; empty at
// the end of the source.
type keyword string

func (Null) value()    {}
func (Bool) value()    {}
func (Integer) value() {}
func (Real) value()    {}
func (String) value()  {}
func (Name) value()    {}
func (Array) value()   {}
func (Dict) value()    {}
func (Ref) value()     {}
func (*Stream) value() {}
func (keyword) value() {}

// Number is a numeric value as a float.
func Number(v Value) (float64, bool) {
	switch v := v.(type) {
	case Integer:
		return float64(v), true
	case Real:
		return float64(v), true
	}
	return 0, false
}

// Error says where in the file something is wrong, and what.
type Error struct {
	Object int   // number of the object; 0 when it is in none
	Offset int64 // byte of the file; within the unpacked bytes for an object in an object stream
	What   string
}

func (e *Error) Error() string {
	if e.Object == 0 {
		return fmt.Sprintf("byte %d: %s", e.Offset, e.What)
	}
	return fmt.Sprintf("object %d, byte %d: %s", e.Object, e.Offset, e.What)
}
