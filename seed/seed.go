// Package seed is the demonstration centre: an invented training centre with its people, three qualification units, a year's
// fourteen briefs for the practice rig Bay 7 and its neighbours, the rule sets that they take limits from, drawn photos, and
// attempts in every state. attempts/ holds six example submissions for each brief with what the marker has to say of them. All of it is our own invention; no
// person, place or maker in it is real.
package seed

import (
	"embed"
	"fmt"
	"io/fs"
)

//go:embed briefs/*.yaml rules/*.yaml
var files embed.FS

// order lists the briefs as the year goes: those that scripts work at first, in the order in which the rig is put right.
var order = []string{
	"fully-pumped", "sealed-system", "controls", "safe-isolation", "instruments", "fault-finding", "gas-tightness", "combustion",
	"pipe-sizing", "balancing", "emitters", "low-temperature", "unvented", "rising-main",
}

// Brief is one brief of the demonstration centre as its file has it.
type Brief struct {
	File   string // under seed/
	Source []byte
}

// RuleSet is one rule set of the demonstration centre as its file has it.
type RuleSet struct {
	File   string // under seed/
	Source []byte
}

// RuleSets gives the demonstration's invented limits, by file.
func RuleSets() ([]RuleSet, error) {
	names, err := fs.Glob(files, "rules/*.yaml")
	if err != nil {
		return nil, fmt.Errorf("list the rule sets: %w", err)
	}
	var out []RuleSet
	for _, file := range names {
		src, err := files.ReadFile(file)
		if err != nil {
			return nil, fmt.Errorf("read rule set %s: %w", file, err)
		}
		out = append(out, RuleSet{File: file, Source: src})
	}
	return out, nil
}

// Briefs gives the demonstration's briefs in the order in which the work is done.
func Briefs() ([]Brief, error) {
	var out []Brief
	for _, name := range order {
		file := "briefs/" + name + ".yaml"
		src, err := files.ReadFile(file)
		if err != nil {
			return nil, fmt.Errorf("read brief %s: %w", name, err)
		}
		out = append(out, Brief{File: file, Source: src})
	}
	return out, nil
}
