package pdfread

import (
	"bytes"
	"fmt"
	"iter"
)

// Page is one page. What it inherits is filled in.
type Page struct {
	Number    int // from 1
	Ref       Ref
	Dict      Dict
	Resources Dict
	MediaBox  [4]float64 // points: left, bottom, right, top as written
}

// Pages walks the page tree (ISO 32000-1, 7.7.3) in reading order.
func (f *File) Pages() ([]Page, error) {
	w := pageWalk{file: f, seen: map[int]bool{}}
	err := w.visit(f.Catalog()["Pages"], Page{}, 0)
	return w.pages, err
}

type pageWalk struct {
	file  *File
	seen  map[int]bool
	pages []Page
}

func (w *pageWalk) visit(v Value, from Page, depth int) error {
	f := w.file
	ref, _ := v.(Ref)
	at, _ := f.Place(ref.Number)
	wrong := func(what string) error { return &Error{Object: ref.Number, Offset: at, What: what} }
	node := f.Dict(v)
	switch {
	case ref.Number == 0 || node == nil:
		return wrong("the page tree leads to no page")
	case w.seen[ref.Number]:
		return wrong("the page tree leads in a circle or to one page twice")
	case depth > maxNesting:
		return wrong("the page tree is too deep")
	case len(w.pages) >= maxPages:
		return wrong(fmt.Sprintf("more than %d pages", maxPages))
	}
	w.seen[ref.Number] = true
	from.Ref, from.Dict = ref, node
	if r := f.Dict(node["Resources"]); r != nil {
		from.Resources = r
	}
	if box := f.Array(node["MediaBox"]); len(box) == 4 {
		for i := range box {
			from.MediaBox[i], _ = Number(f.Resolve(box[i]))
		}
	}
	switch f.Name(node["Type"]) {
	case "Page":
		from.Number = len(w.pages) + 1
		w.pages = append(w.pages, from)
		return nil
	case "Pages":
		for _, kid := range f.Array(node["Kids"]) {
			if err := w.visit(kid, from, depth+1); err != nil {
				return err
			}
		}
		return nil
	}
	return wrong("the page tree leads to something that is no page")
}

const mostParts = 1000 // of a page's content

// Content is what a page's content streams say together, at most MaxHeld
// bytes.
func (f *File) Content(p Page) ([]byte, error) {
	v := f.Resolve(p.Dict["Contents"])
	parts, ok := v.(Array)
	if !ok {
		parts = Array{v}
	}
	if len(parts) > mostParts {
		return nil, &Error{Object: p.Ref.Number, What: fmt.Sprintf("the page's content is in more than %d parts", mostParts)}
	}
	var all []byte
	for _, part := range parts {
		s := f.Stream(part)
		if s == nil {
			if _, absent := f.Resolve(part).(Null); absent {
				continue
			}
			return nil, &Error{Object: p.Ref.Number, What: "the page's /Contents is no stream"}
		}
		data, err := f.decode(s, int64(MaxHeld-len(all)))
		if err != nil {
			return nil, err
		}
		all = append(append(all, data...), '\n') // a token never runs from one part into the next
	}
	return all, nil
}

// Operator is one step of a content stream (ISO 32000-1, 7.8.2) or of a
// character map, which is spelt alike.
type Operator struct {
	Name     string
	Operands []Value
	At       int64 // byte of the content where the operator's name ends
	Odd      bool  // a hexadecimal string so far had an odd number of digits
}

// Operators reads a content stream's operators in order. Reading stops at the
// first error. An inline picture is one operator BI whose operand is its
// dictionary; its bytes are passed over.
func Operators(content []byte) iter.Seq2[Operator, error] {
	return func(yield func(Operator, error) bool) {
		l := newLexer(bytes.NewReader(content), 0, 0)
		for {
			op, err := l.operator(content)
			if err == nil && op.Name == "" {
				return
			}
			if !yield(op, err) || err != nil {
				return
			}
		}
	}
}

func (l *lexer) operator(content []byte) (Operator, error) {
	l.budget = maxValues
	var operands []Value
	for {
		v, err := l.next(0)
		if err != nil {
			return Operator{}, err
		}
		word, bare := v.(keyword)
		switch {
		case !bare:
			operands = append(operands, v)
		case word == "BI":
			return l.inline(content)
		case word == "" && len(operands) > 0:
			return Operator{}, l.wrong("ends with values that no operator takes")
		case word == ">>" || word == "]":
			return Operator{}, l.wrong("%q without its opening", string(word))
		default:
			return Operator{Name: string(word), Operands: operands, At: l.at, Odd: l.odd}, nil
		}
	}
}

// inline reads a picture inside the content: keys and values, ID, one white
// character, bytes, EI (ISO 32000-1, 8.9.7).
func (l *lexer) inline(content []byte) (Operator, error) {
	d := Dict{}
	for {
		key, err := l.next(1)
		if err != nil {
			return Operator{}, err
		}
		if key == keyword("ID") {
			break
		}
		name, ok := key.(Name)
		if !ok {
			return Operator{}, l.wrong("an inline picture's key is not a name")
		}
		v, err := l.next(1)
		if err != nil {
			return Operator{}, err
		}
		if _, bare := v.(keyword); bare {
			return Operator{}, l.wrong("an inline picture's /%s has no value", name)
		}
		d[name] = v
	}
	for i := int(l.at) + 1; i+2 <= len(content); i++ {
		ends := i+2 == len(content) || isWhite(content[i+2])
		if content[i] == 'E' && content[i+1] == 'I' && isWhite(content[i-1]) && ends {
			*l = *newLexer(bytes.NewReader(content[i+2:]), int64(i)+2, 0)
			return Operator{Name: "BI", Operands: []Value{d}, At: l.at}, nil
		}
	}
	return Operator{}, l.wrong("an inline picture without its end")
}
