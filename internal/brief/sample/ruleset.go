package sample

import "witnessmark/internal/brief"

// RuleSet is a new valid edition of a rule set that uses every kind of rule and every member of the format.
func RuleSet() *brief.RuleSet {
	return &brief.RuleSet{
		Format: brief.RulesEdition, Key: "bay-7-limits", Title: "Bay 7 limits", Edition: "2, 2026",
		ValidFrom: "2026-01-01", ValidTo: "2026-12-31",
		Source: "Invented for tests", Demonstration: true, EnteredBy: "Ada Quill", CheckedBy: "Ben Rowe",
		Rules: []brief.Rule{
			{Key: "flow", Is: "flow temperature as left", AtLeast: "60 °C", AtMost: "80 °C"},
			{Key: "continuity", Is: "resistance of the protective conductor", AtMost: "0.5 Ω", Margin: true},
			{Key: "cv", Is: "calorific value of the gas", Value: "39.2 MJ/m³"},
			{Key: "longest", Is: "longest discharge pipe by its outside diameter", Table: &brief.RuleTable{
				Of: "mm", Gives: "m", Between: brief.BetweenExact,
				Rows: []brief.TableRow{{At: "22", Is: "9"}, {At: "28", Is: "18"}, {At: "35", Is: "27"}},
			}},
			{Key: "rating", Is: "share of the rating that is left, by temperature", Table: &brief.RuleTable{
				Of: "°C", Gives: "%", Between: brief.BetweenStraight,
				Rows: []brief.TableRow{{At: "20", Is: "90"}, {At: "30", Is: "100"}, {At: "70", Is: "50"}},
			}},
		},
	}
}
