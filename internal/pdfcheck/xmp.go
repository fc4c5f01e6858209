package pdfcheck

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
)

// element of XML, read whole.
type xmlNode struct {
	name  xml.Name
	attrs []xml.Attr
	kids  []*xmlNode
	text  string
}

// readXML reads a document of bounded depth and size.
func readXML(data []byte) (*xmlNode, error) {
	d := xml.NewDecoder(bytes.NewReader(data))
	root := &xmlNode{}
	open := []*xmlNode{root}
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			if len(root.kids) != 1 {
				return nil, errors.New("it is not one element")
			}
			return root.kids[0], nil
		}
		if err != nil {
			return nil, err
		}
		top := open[len(open)-1]
		switch t := token.(type) {
		case xml.StartElement:
			if len(open) > 64 {
				return nil, errors.New("its elements are more than 64 deep")
			}
			n := &xmlNode{name: t.Name, attrs: t.Copy().Attr}
			top.kids = append(top.kids, n)
			open = append(open, n)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			top.text += string(t)
		case xml.Directive:
			return nil, errors.New("it has a document type")
		}
	}
}

// The namespaces of XMP and of what PDF/A and PDF/UA add to it.
const (
	nsRDF      = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
	nsDC       = "http://purl.org/dc/elements/1.1/"
	nsXMP      = "http://ns.adobe.com/xap/1.0/"
	nsPDF      = "http://ns.adobe.com/pdf/1.3/"
	nsMM       = "http://ns.adobe.com/xap/1.0/mm/"
	nsRights   = "http://ns.adobe.com/xap/1.0/rights/"
	nsPDFA     = "http://www.aiim.org/pdfa/ns/id/"
	nsUA       = "http://www.aiim.org/pdfua/ns/id/"
	nsExtend   = "http://www.aiim.org/pdfa/ns/extension/"
	nsSchema   = "http://www.aiim.org/pdfa/ns/schema#"
	nsProperty = "http://www.aiim.org/pdfa/ns/property#"
)

// packet is the properties of an XMP packet (ISO 16684-1).
type packet struct {
	values map[xml.Name][]string // an array's items in order; one for a simple value
	nodes  map[xml.Name]*xmlNode
	order  []xml.Name
}

func (p *packet) value(space, local string) string {
	return strings.Join(p.values[xml.Name{Space: space, Local: local}], "; ")
}

// readPacket reads the properties of the one RDF description or several.
func readPacket(data []byte) (*packet, error) {
	root, err := readXML(data)
	if err != nil {
		return nil, err
	}
	if root.name.Local == "xmpmeta" && len(root.kids) == 1 {
		root = root.kids[0]
	}
	if root.name != (xml.Name{Space: nsRDF, Local: "RDF"}) {
		return nil, errors.New("it is not RDF")
	}
	p := &packet{values: map[xml.Name][]string{}, nodes: map[xml.Name]*xmlNode{}}
	for _, description := range root.kids {
		if description.name != (xml.Name{Space: nsRDF, Local: "Description"}) {
			return nil, errors.New("its RDF holds something that is no description")
		}
		for _, a := range description.attrs {
			if a.Name.Space != nsRDF && a.Name.Space != "xmlns" && a.Name.Local != "xmlns" {
				if err := p.add(a.Name, []string{a.Value}, nil); err != nil {
					return nil, err
				}
			}
		}
		for _, property := range description.kids {
			if err := p.add(property.name, items(property), property); err != nil {
				return nil, err
			}
		}
	}
	return p, nil
}

func (p *packet) add(name xml.Name, values []string, n *xmlNode) error {
	if _, twice := p.values[name]; twice {
		return fmt.Errorf("it says %s twice", name.Local)
	}
	p.values[name], p.nodes[name] = values, n
	p.order = append(p.order, name)
	return nil
}

// items are a property's values: of an array its items, otherwise its text.
func items(property *xmlNode) []string {
	if list := list(property); list != nil {
		if property.kids[0].name.Local == "Alt" {
			list = list[:min(1, len(list))] // the first is the one by default
		}
		var out []string
		for _, item := range list {
			out = append(out, item.text)
		}
		return out
	}
	return []string{property.text}
}

// list is the items of a property that is an array; nil when it is none.
func list(property *xmlNode) []*xmlNode {
	if property == nil || len(property.kids) != 1 || property.kids[0].name.Space != nsRDF {
		return nil
	}
	switch property.kids[0].name.Local {
	case "Alt", "Bag", "Seq":
		return property.kids[0].kids
	}
	return nil
}

// field is the text of a structure's field, written as an element or an
// attribute, in the structure or in a description inside it.
func (n *xmlNode) field(space, local string) (string, *xmlNode) {
	for _, a := range n.attrs {
		if a.Name == (xml.Name{Space: space, Local: local}) {
			return a.Value, nil
		}
	}
	for _, kid := range n.kids {
		if kid.name == (xml.Name{Space: space, Local: local}) {
			return strings.TrimSpace(kid.text), kid
		}
		if kid.name == (xml.Name{Space: nsRDF, Local: "Description"}) {
			return kid.field(space, local)
		}
	}
	return "", nil
}
