package app

import "witnessmark/internal/store"

// The rows that the application hands out as they are stored. The ways in, which do not know the store, name them here.
type (
	TraineeTask  = store.TraineeTask
	Evidence     = store.Evidence
	BriefVersion = store.BriefVersion
	Cover        = store.Cover
	CohortRow    = store.Cohort
	Member       = store.Member
	Part         = store.Part
	Person       = store.Person
	Portfolio    = store.Portfolio
	RuleEdition  = store.RuleEdition
	Unit         = store.Unit
	Standing     = store.Standing
	Waiting      = store.Waiting
	NextUp       = store.NextUp
	SecondLook   = store.SecondLook
)
