package brief

import (
	"crypto/sha256"
	"encoding/binary"
	"math/big"
	"math/bits"
	"strconv"
	"strings"

	"witnessmark/internal/quantity"
)

// GivenRange is what a given is drawn from: Count values From, From + Step, …, all in the given's unit. Values are exact
// decimals, never binary fractions.
type GivenRange struct {
	From, Step *big.Rat
	Count      int    // at least 2
	Decimals   int    // digits after the point, as the tutor wrote them
	UnitText   string // as the tutor wrote it
}

// mostValues bounds how many values a range may have.
const mostValues = 1_000_000

// at is the exact value number i, counted from 0.
func (r *GivenRange) at(i int) *big.Rat {
	x := new(big.Rat).SetInt64(int64(i))
	return x.Add(x.Mul(x, r.Step), r.From)
}

// text is value number i as a trainee reads it, with its unit.
func (r *GivenRange) text(i int) string {
	s := r.at(i).FloatString(r.Decimals)
	if r.UnitText != "" {
		s += " " + r.UnitText
	}
	return s
}

// holds says whether x is one of the values.
func (r *GivenRange) holds(x *big.Rat) bool {
	n := new(big.Rat).Sub(x, r.From)
	n.Quo(n, r.Step)
	return n.IsInt() && n.Sign() >= 0 && n.Cmp(new(big.Rat).SetInt64(int64(r.Count))) < 0
}

// span parses a given's range. Both ends are in one unit, the step in it or in its difference (K for °C).
func (c *compiler) span(g *Given, path string) (*GivenRange, quantity.Quantity, bool) {
	var none quantity.Quantity
	if g.From == "" || g.To == "" || g.Step == "" {
		c.say(path, 0, "A range has all three: from, to and step.")
		return nil, none, false
	}
	from, ok1 := c.quantity(g.From, path+".from")
	to, ok2 := c.quantity(g.To, path+".to")
	step, ok3 := c.quantity(g.Step, path+".step")
	if !ok1 || !ok2 || !ok3 || !c.positive(step, path+".step") {
		return nil, none, false
	}
	switch {
	case !from.Unit.Equal(to.Unit):
		c.say(path+".to", 0, "Write both ends of the range in the same unit.")
		return nil, none, false
	case !step.Unit.Equal(from.Unit) && !step.Unit.Equal(from.Unit.Difference()):
		c.say(path+".step", 0, "Write the step in the unit of the range"+differenceHint(from.Unit)+".")
		return nil, none, false
	case from.Number.IsFraction() || step.Number.IsFraction():
		c.say(path, 0, "Write a range in decimals, without fractions.")
		return nil, none, false
	}
	a, z, d := from.Number.Exact(), to.Number.Exact(), step.Number.Exact()
	n := new(big.Rat).Sub(z, a)
	n.Quo(n, d)
	last := new(big.Int).Quo(n.Num(), n.Denom())
	if n.Sign() <= 0 || last.Sign() == 0 {
		c.say(path, 0, "This range has one value at most: from lies at least one step below to.")
		return nil, none, false
	}
	if last.Cmp(big.NewInt(mostValues)) >= 0 {
		c.say(path+".step", 0, "This step is so small that the range has over "+strconv.Itoa(mostValues)+" values. Take a larger one.")
		return nil, none, false
	}
	r := &GivenRange{From: a, Step: d, Count: int(last.Int64()) + 1, UnitText: from.UnitText}
	r.Decimals = max(decimals(from.Number), decimals(step.Number))
	return r, from, true
}

// decimals is how many digits after the point a number needs to stand in plain decimals.
func decimals(n quantity.Number) int {
	text := n.Canonical()
	mantissa, power, found := strings.Cut(text, "e")
	d := 0
	if _, frac, ok := strings.Cut(mantissa, "."); ok {
		d = len(frac)
	}
	if !found {
		return d
	}
	e, err := strconv.Atoi(power)
	if err != nil {
		return d // Canonical writes no other power
	}
	return max(d-e, 0)
}

func differenceHint(u quantity.Unit) string {
	if d := u.Difference(); !d.Equal(u) {
		return ", or in " + d.String()
	}
	return ""
}

// Draw gives every given of a brief its value for one trainee as text with its unit: a fixed value as the tutor wrote it,
// a range's value drawn by the seed. The same brief and seed give the same values on every machine and in every edition
// of this program: value number ⌊h × Count / 2⁶⁴⌋ of the range, where h is the first 8 bytes of the SHA-256 of "witnessmark
// draw 1", the brief's key, the given's name and the seed in decimal, each behind its length in 4 bytes. Givens that
// cannot be parsed, which Check refuses, are left out.
func Draw(b *Brief, seed int64) map[string]string {
	return draws(b, func(g *Given, r *GivenRange) int { return pick(b.Key, g.Name, seed, r.Count) })
}

// ModelGivens gives every given its value in the model answer: of a range, Value where the brief states one beside it,
// else the lower end.
func ModelGivens(b *Brief) map[string]string {
	return draws(b, func(g *Given, r *GivenRange) int {
		q, err := quantity.ParseQuantity(g.Value)
		if err != nil { // no value stands beside the range
			return 0
		}
		n := new(big.Rat).Sub(q.Number.Exact(), r.From)
		return int(n.Quo(n, r.Step).Num().Int64())
	})
}

func draws(b *Brief, choose func(*Given, *GivenRange) int) map[string]string {
	out := map[string]string{}
	c := newCompiler(b, nil)
	for i := range b.Given {
		g := &b.Given[i]
		cg, ok := c.givenValue(g, "")
		switch {
		case !ok:
		case cg.Range == nil:
			out[g.Name] = g.Value
		default:
			out[g.Name] = cg.Range.text(choose(g, cg.Range))
		}
	}
	return out
}

// pick is a number from 0 to n-1, evenly spread: the upper half of a 128-bit product leaves a bias below n/2⁶⁴.
func pick(key, name string, seed int64, n int) int {
	var text []byte
	for _, s := range []string{"witnessmark draw 1", key, name, strconv.FormatInt(seed, 10)} {
		// The length keeps "a", "bc" apart from "ab", "c".
		text = binary.BigEndian.AppendUint32(text, uint32(len(s)))
		text = append(text, s...)
	}
	sum := sha256.Sum256(text)
	hi, _ := bits.Mul64(binary.BigEndian.Uint64(sum[:]), uint64(n))
	return int(hi)
}
