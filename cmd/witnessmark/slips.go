package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
)

// printSlips says which slips of a brief in order cannot be told: item by item, the declared ones first and with an example,
// then those that the marker makes, the worst first and one a line; at the end how many they are.
func printSlips(out io.Writer, b *brief.Brief) error {
	c, problems := brief.Compile(b, app.Functions())
	if err := problems.Err(); err != nil {
		return err
	}
	all := brief.Slips(c)
	if len(all) == 0 {
		_, err := fmt.Fprintln(out, "  every slip can be told, whatever the values")
		return err
	}
	var text strings.Builder
	text.WriteString("  slips that cannot be told from the right answer, or from the slip that is named; in how many of the sets of values that were tried\n")
	for from := 0; from < len(all); {
		to := from
		for to < len(all) && all[to].Item == all[from].Item {
			to++
		}
		group := all[from:to]
		slices.SortStableFunc(group, worstFirst)
		fmt.Fprintf(&text, "  %s\n", group[0].Item)
		for i := range group {
			text.WriteString("    " + slipLine(&group[i]) + "\n")
		}
		from = to
	}
	text.WriteString("  " + slipSum(all) + "\n")
	_, err := io.WriteString(out, text.String())
	return err
}

// worstFirst puts declared slips first, and of the others those that can be told least often.
func worstFirst(a, b brief.Untold) int {
	if a.Made != b.Made {
		if b.Made {
			return -1
		}
		return 1
	}
	if !a.Made {
		return 0
	}
	return cmp.Compare(b.Sets*a.Of, a.Sets*b.Of)
}

// slipLine is one slip: what it does, how often it cannot be told and from what. A declared one has an example below it, with
// which its brief can be mended.
func slipLine(u *brief.Untold) string {
	share, name := fmt.Sprintf("in %d of %d", u.Sets, u.Of), u.Is
	if u.Everywhere() {
		share = "everywhere"
	}
	if u.From != "" {
		share = "from “" + u.From + "” " + share
	}
	if !u.Made {
		name = fmt.Sprintf("declared “%s” (%s)", u.Key, u.Is)
	}
	switch {
	case u.Of == 0:
		return fmt.Sprintf("%s: %s", name, u.Why)
	case u.Made:
		return fmt.Sprintf("%s: %s, %s", name, share, u.Short)
	}
	return fmt.Sprintf("%s: %s, %s\n      %s", name, share, u.Short, u.Why)
}

// slipSum counts them.
func slipSum(all []brief.Untold) string {
	declared, everywhere := 0, 0
	for i := range all {
		if !all[i].Made {
			declared++
		}
		if all[i].Everywhere() {
			everywhere++
		}
	}
	return fmt.Sprintf("That is %d: %d declared, %d found by the marker; %d of them everywhere.", len(all), declared, len(all)-declared, everywhere)
}
