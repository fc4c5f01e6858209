package formula

import "slices"

// conversionFactors are the numbers by which people convert units by hand; common practice, no source.
var conversionFactors = []float64{60, 3600, 86400, 1000, 1e6, 3.6, 100, 1e5, 0.001, 1e-3 / 60}

// ConversionFactors lists the bare numbers that multiply or divide in a formula and look like a conversion of units by
// hand, such as 60, 3600 and 1000. Values carry their units here, so such a number is nearly always a slip of the
// tutor's: dimensions stay right and the result is wrong by the factor. The brief checker warns of them.
func ConversionFactors(e *Expr) []*Node {
	var found []*Node
	var walk func(n *Node)
	walk = func(n *Node) {
		for _, a := range n.Args {
			if (n.Kind == NodeMul || n.Kind == NodeDiv) && a.Kind == NodeNumber && !a.HasUnit && slices.Contains(conversionFactors, a.Number.Value()) {
				found = append(found, a)
			}
			walk(a)
		}
	}
	walk(e.root)
	return found
}
