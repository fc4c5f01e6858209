package pdfread

import (
	"io"
	"iter"
)

// Image is a picture that is an object of its own (ISO 32000-1, 8.9.5).
type Image struct {
	Object     int
	Wide, High int64 // pixels as stored
	Filter     Name  // the last filter: DCTDecode for a JPEG; empty for none
	Stream     *Stream
	file       *File
}

// Open gives the picture's bytes: a JPEG file as it was put in where Filter is
// DCTDecode, samples otherwise. Nothing is held in memory. A JPEG that is packed
// once more is an error: it does not stand in the file as it is, and a small
// file could unpack to any number of great ones.
func (m Image) Open() (io.Reader, error) {
	if m.Filter == "DCTDecode" && len(m.file.Filters(m.Stream)) > 1 {
		return nil, &Error{Object: m.Object, Offset: m.Stream.Offset, What: "a JPEG that is packed once more"}
	}
	return m.file.Reader(m.Stream)
}

// Images are all pictures of the file, on pages or not, by object number.
func (f *File) Images() iter.Seq[Image] {
	return func(yield func(Image) bool) {
		for _, n := range f.Objects() {
			s, ok := f.Object(n).(*Stream)
			if !ok || f.Name(s.Dict["Subtype"]) != "Image" {
				continue
			}
			m := Image{Object: n, Stream: s, file: f}
			m.Wide, _ = f.Integer(s.Dict["Width"])
			m.High, _ = f.Integer(s.Dict["Height"])
			if filters := f.Filters(s); len(filters) > 0 {
				m.Filter = filters[len(filters)-1]
			}
			if !yield(m) {
				return
			}
		}
	}
}
