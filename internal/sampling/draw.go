package sampling

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"math/rand/v2"
	"slices"
	"strconv"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// Stratum is what a sample has at least one attempt of.
type Stratum struct {
	Assessor uuid.UUID // who judged it
	Units    string    // codes of the qualification units, as they are shown
	Method   string    // how it was assessed
	Site     string    // where
}

// Item is an attempt that may be drawn.
type Item struct {
	Attempt uuid.UUID
	Stratum Stratum
	Risk    int // from 1: how many times as likely as one of risk 1
}

// List is what is drawn from: every attempt once, in the order of their ids.
type List struct {
	items  []Item
	strata []Stratum // in order
	of     []int     // the stratum of each item
}

// NewList puts items in order. Nothing to sample is Conflict, a risk below one or an attempt twice an error in the program.
func NewList(items []Item) (List, error) {
	if len(items) == 0 {
		return List{}, fault.Conflict("There is nothing to sample: no attempt fits this plan now, or all that do are in a sample that is still being looked at.")
	}
	const usual = 16 // strata
	l := List{items: byID(items), of: make([]int, len(items)), strata: make([]Stratum, 0, usual)}
	at := make(map[Stratum]int, usual)
	for i := range l.items {
		it := &l.items[i]
		if it.Risk < 1 || i > 0 && it.Attempt == l.items[i-1].Attempt {
			return List{}, fault.Invalid("list", "The list to draw from names an attempt twice, or one without a risk.")
		}
		n, ok := at[it.Stratum]
		if !ok {
			n = len(l.strata)
			at[it.Stratum] = n
			l.strata = append(l.strata, it.Stratum)
		}
		l.of[i] = n
	}
	l.sortStrata()
	return l, nil
}

// byID is the items in the order of their ids. Only the ids are moved about while they are sorted: an item is four times as large.
func byID(items []Item) []Item {
	type key struct {
		high, low uint64
		item      int
	}
	keys := make([]key, len(items))
	for i := range items {
		id := &items[i].Attempt
		keys[i] = key{binary.BigEndian.Uint64(id[:8]), binary.BigEndian.Uint64(id[8:]), i}
	}
	slices.SortFunc(keys, func(a, b key) int {
		if a.high != b.high {
			return cmp.Compare(a.high, b.high)
		}
		return cmp.Compare(a.low, b.low)
	})
	sorted := make([]Item, len(items))
	for i, k := range keys {
		sorted[i] = items[k.item]
	}
	return sorted
}

// sortStrata puts the strata in order, which until then stand as the list first names them.
func (l *List) sortStrata() {
	order, place := make([]int, len(l.strata)), make([]int, len(l.strata))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		a, b := &l.strata[i], &l.strata[j]
		return cmp.Or(bytes.Compare(a.Assessor[:], b.Assessor[:]), cmp.Compare(a.Units, b.Units), cmp.Compare(a.Method, b.Method), cmp.Compare(a.Site, b.Site))
	})
	sorted := make([]Stratum, len(order))
	for i, was := range order {
		sorted[i], place[was] = l.strata[was], i
	}
	l.strata = sorted
	for i := range l.of {
		l.of[i] = place[l.of[i]]
	}
}

// Items is the list in order.
func (l List) Items() []Item { return l.items }

// Strata is every stratum that the list has, in order.
func (l List) Strata() []Stratum { return l.strata }

// Bytes is the list as text, the same for the same list: a line for each stratum (number, assessor, units, method, site), then
// one for each attempt (id, stratum, risk), between tabs.
func (l List) Bytes() []byte {
	out := make([]byte, 0, 64+96*len(l.strata)+48*len(l.items))
	l.lines(func(line []byte) { out = append(out, line...) })
	return out
}

// Digest is the SHA-256 of Bytes in hex. It is kept with the draw, so that another list cannot stand in for this one.
func (l List) Digest() string {
	sum := sha256.New()
	l.lines(func(line []byte) { _, _ = sum.Write(line) }) // a hash takes everything
	return hex.EncodeToString(sum.Sum(nil))
}

// lines gives the text line by line, each to be used before the next.
func (l List) lines(each func([]byte)) {
	each([]byte("witnessmark sampling list 1\n"))
	line := make([]byte, 0, 256)
	for i, s := range l.strata {
		line = append(strconv.AppendInt(line[:0], int64(i), 10), '\t')
		line = hex.AppendEncode(line, s.Assessor[:])
		for _, text := range []string{s.Units, s.Method, s.Site} {
			line = strconv.AppendQuote(append(line, '\t'), text)
		}
		each(append(line, '\n'))
	}
	for i := range l.items {
		line = append(hex.AppendEncode(line[:0], l.items[i].Attempt[:]), '\t')
		line = append(strconv.AppendInt(line, int64(l.of[i]), 10), '\t')
		each(append(strconv.AppendInt(line, int64(l.items[i].Risk), 10), '\n'))
	}
}

// Draw takes size attempts, or one of every stratum where that is more, and gives their places in the list in order. Every
// attempt holds as many numbers as its risk, and the lowest numbers are drawn: first the lowest of each stratum, then
// the lowest of all. The numbers are those of ChaCha8 under the SHA-256 of seed and digest, in the order of the list.
func (l List) Draw(size int, seed, digest string) []int {
	numbers := rand.NewChaCha8(sha256.Sum256([]byte("witnessmark sample 1\n" + seed + "\n" + digest + "\n")))
	type ticket struct {
		number uint64
		item   int
	}
	tickets := make([]ticket, len(l.items))
	for i := range l.items {
		lowest := numbers.Uint64()
		for range l.items[i].Risk - 1 {
			lowest = min(lowest, numbers.Uint64())
		}
		tickets[i] = ticket{lowest, i}
	}
	slices.SortFunc(tickets, func(a, b ticket) int {
		if a.number != b.number {
			return cmp.Compare(a.number, b.number)
		}
		return a.item - b.item
	})
	left := min(max(size, len(l.strata)), len(l.items))
	taken, has := make([]bool, len(l.items)), make([]bool, len(l.strata))
	for _, t := range tickets {
		if s := l.of[t.item]; !has[s] {
			has[s], taken[t.item] = true, true
			left--
		}
	}
	for _, t := range tickets {
		if left > 0 && !taken[t.item] {
			taken[t.item] = true
			left--
		}
	}
	var places []int
	for i, yes := range taken {
		if yes {
			places = append(places, i)
		}
	}
	return places
}
