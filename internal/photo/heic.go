package photo

import (
	"fmt"
	"io"
	"maps"
	"slices"
)

// maxItemEXIF bounds what is read of a HEIC's EXIF, as a JPEG's segment does.
const maxItemEXIF = 64 << 10

// checkHEIC reads what a HEIC says about its first picture. It refuses none: a phone's own kind of file is kept however it
// looks inside, and where its size is not given, or is past the limits, Width and Height are 0 and nobody draws it.
//
// A HEIC turns and mirrors its pictures by itself (ISO/IEC 23008-12, 6.5.10 and 6.5.12), and a decoder does it. Phones write
// EXIF's orientation beside that, where it says the same a second time: it is not read.
func checkHEIC(r io.ReadSeeker, size int64) (Info, error) {
	meta, err := readMeta(r, size)
	if err != nil {
		return Info{}, err
	}
	m := describe(meta)
	exif, err := m.exif(r)
	if err != nil {
		return Info{}, err
	}
	info := readEXIF(exif).info(HEIC)
	info.Orientation = 1
	if h := m.size(); h.withinLimits() == nil {
		info.Width, info.Height = h.width, h.height
	}
	return info, nil
}

// Redrawn checks a JPEG that a decoder has made of the HEIC that Check has described, so that Preview and Cover can go on with
// it. It stands upright, whatever EXIF the decoder copied into it. One of another size than the HEIC gives itself is another
// picture, and a fault of kind Invalid, as is what Check refuses.
func Redrawn(r io.ReadSeeker, size int64, of Info) (Info, error) {
	made, err := Check(r, size)
	if err != nil {
		return Info{}, err
	}
	if made.Media != JPEG {
		return Info{}, refuse("This picture was drawn as %s, not as JPEG.", made.Media)
	}
	if made.Orientation >= 5 {
		made.Width, made.Height = made.Height, made.Width
	}
	if made.Width != of.Width || made.Height != of.Height {
		return Info{}, refuse("This picture gives two different sizes for itself. Take or save it again and send that.")
	}
	of.Media, of.Orientation = JPEG, 1
	return of, nil
}

// description is what a box "meta" says (ISO/IEC 14496-12, 8.11, and ISO/IEC 23008-12): which item is the picture, the
// properties of items, what kind each item is and where its bytes lie. The layouts are from memory; files of libheif bear them out.
type description struct {
	primary    uint64
	properties []box
	of         map[uint64][]int // by item, the numbers of its properties from 1, in the order in which they apply
	kinds      map[uint64]string
	places     map[uint64]place
	inside     []byte // the box "idat"
}

// place is where the bytes of an item lie that is in one piece.
type place struct {
	inside   bool // within "idat", not the file
	at, size uint64
}

func describe(meta []byte) description {
	d := description{of: map[uint64][]int{}, kinds: map[uint64]string{}, places: map[uint64]place{}}
	if len(meta) < 4 {
		return d
	}
	for _, b := range boxes(meta[4:]) {
		f := &fields{b: b.body}
		switch b.kind {
		case "pitm":
			version, _ := f.version()
			d.primary = f.uint(wide(version > 0))
		case "iprp":
			for _, p := range boxes(b.body) {
				switch p.kind {
				case "ipco":
					d.properties = boxes(p.body)
				case "ipma":
					d.associate(&fields{b: p.body})
				}
			}
		case "iinf":
			version, _ := f.version()
			f.uint(wide(version > 0)) // their number
			d.items(boxes(f.b))
		case "iloc":
			d.locate(f)
		case "idat":
			d.inside = b.body
		}
	}
	return d
}

// wide is the bytes of a number that has two or four.
func wide(long bool) int {
	if long {
		return 4
	}
	return 2
}

// associate reads which properties belong to which items.
func (d *description) associate(f *fields) {
	version, flags := f.version()
	for n := f.uint(4); n > 0 && !f.short; n-- {
		item := f.uint(wide(version > 0))
		for k := f.uint(1); k > 0 && !f.short; k-- {
			number := f.uint(1) & 0x7f // without the bit that says whether it is essential
			if flags&1 != 0 {
				number = number<<8 | f.uint(1)
			}
			d.of[item] = append(d.of[item], int(number))
		}
	}
}

// items reads what kind each item is.
func (d *description) items(entries []box) {
	for _, e := range entries {
		f := &fields{b: e.body}
		version, _ := f.version()
		if e.kind != "infe" || version < 2 {
			continue
		}
		id := f.uint(wide(version > 2))
		f.uint(2) // protection
		d.kinds[id] = string(f.take(4))
	}
}

// locate reads where the items' bytes lie. Those in several pieces, or in another file, are passed over.
func (d *description) locate(f *fields) {
	version, _ := f.version()
	sizes := f.uint(2)
	offset, length, base, index := int(sizes>>12), int(sizes>>8&15), int(sizes>>4&15), int(sizes&15)
	if version == 0 {
		index = 0
	}
	for n := f.uint(wide(version > 1)); n > 0 && !f.short; n-- {
		id, method := f.uint(wide(version > 1)), uint64(0)
		if version > 0 {
			method = f.uint(2) & 15
		}
		file := f.uint(2)
		from := f.uint(base)
		pieces := f.uint(2)
		var p place
		for k := uint64(0); k < pieces && !f.short; k++ {
			f.uint(index)
			p = place{inside: method == 1, at: from + f.uint(offset), size: f.uint(length)}
		}
		if pieces == 1 && file == 0 && method <= 1 && !f.short {
			d.places[id] = p
		}
	}
}

// size is the picture's size as a decoder draws it: its own, cut and turned in the order in which it says so.
func (d *description) size() header {
	var h header
	for _, number := range d.of[d.primary] {
		if number < 1 || number > len(d.properties) {
			continue
		}
		p := d.properties[number-1]
		f := &fields{b: p.body}
		switch p.kind {
		case "ispe":
			f.version()
			h.width, h.height = int(f.uint(4)), int(f.uint(4))
		case "clap": // width and height, each a fraction
			w, wn, c, cn := f.uint(4), f.uint(4), f.uint(4), f.uint(4)
			if wn == 0 || cn == 0 {
				return header{}
			}
			h.width, h.height = int(w/wn), int(c/cn)
		case "irot": // quarter turns
			if f.uint(1)&1 == 1 {
				h.width, h.height = h.height, h.width
			}
		}
	}
	return h
}

// exif reads the EXIF block of the file's pictures, from its TIFF header on; nothing where there is none.
func (d *description) exif(r io.ReadSeeker) ([]byte, error) {
	for _, id := range slices.Sorted(maps.Keys(d.places)) {
		p := d.places[id]
		if d.kinds[id] != "Exif" {
			continue
		}
		b, err := d.bytes(r, p)
		if err != nil {
			return nil, fmt.Errorf("reading a HEIC's EXIF: %w", err)
		}
		f := &fields{b: b}
		f.take(int(f.uint(4))) // ISO/IEC 23008-12, A.2.1: how far the TIFF header is from here
		return f.b, nil
	}
	return nil, nil
}

// bytes reads an item, no more than maxItemEXIF of it.
func (d *description) bytes(r io.ReadSeeker, p place) ([]byte, error) {
	const most = 1 << 40 // of any offset
	p.size = min(p.size, maxItemEXIF)
	if p.at > most {
		return nil, nil
	}
	if !p.inside {
		b := make([]byte, p.size)
		n, err := readAt(r, int64(p.at), b)
		return b[:n], err
	}
	from := min(p.at, uint64(len(d.inside)))
	return d.inside[from:min(from+p.size, uint64(len(d.inside)))], nil
}
