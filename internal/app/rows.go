package app

import (
	"witnessmark/internal/sampling"
	"witnessmark/internal/store"
)

// The rows that the application hands out as they are stored. The ways in, which do not know the store, name them here.
type (
	TraineeTask   = store.TraineeTask
	Evidence      = store.Evidence
	BriefVersion  = store.BriefVersion
	Cover         = store.Cover
	CohortRow     = store.Cohort
	Member        = store.Member
	Part          = store.Part
	Person        = store.Person
	Portfolio     = store.Portfolio
	RuleEdition   = store.RuleEdition
	Unit          = store.Unit
	Standing      = store.Standing
	Waiting       = store.Waiting
	NextUp        = store.NextUp
	SecondLook    = store.SecondLook
	RegisterPoint = store.RegisterPoint
	AlikeLook     = store.AlikeLook
	AlikeSetting  = store.AlikeSetting
	CentreWaits   = store.CentreWaits
	AtWork        = store.AtWork

	PersonFile        = store.PersonFile
	Titled            = store.Titled
	PeopleRow         = store.PeopleRow
	Outcome           = store.Outcome
	Criterion         = store.Criterion
	AwardRegistration = store.AwardRegistration
	Conflict          = store.Conflict
	Withdrawal        = store.Withdrawal
	Leavable          = store.Leavable
	PersonCohort      = store.PersonCohort
)

// Those of an external verifier's visit.
type (
	Visit        = store.Visit
	VisitAttempt = store.VisitAttempt
	VisitDraw    = store.VisitDraw
	VisitNote    = store.VisitNote
	VisitView    = store.VisitView
	VisitLook    = store.VisitLook
	VisitFinding = store.VisitFinding
	VisitAction  = store.Action
	Named        = store.Named

	StandardisationRow = store.Standardisation
	BlindChoice        = store.BlindChoice
	Assessor           = store.BlindJudge
	ActionSource       = store.ActionSource
	BlindJudgement     = store.BlindJudgement
	RulingRow          = store.Ruling
	Questioned         = store.Questioned
	Doubts             = store.Doubts
	After              = store.After
	Agreement          = sampling.Agreement
	Figure             = sampling.Figure
	BriefComment       = store.BriefComment
	PriorRow           = store.Prior
	PriorFile          = store.PriorFile
	PriorDecision      = store.PriorDecision
	InquiryRow         = store.Inquiry
	InquiryOutcome     = store.InquiryOutcome
)

// VisitPage is how many attempts of a visit stand on one page, VisitsMost how many of anything else.
const (
	VisitPage  = store.VisitPage
	VisitsMost = store.VisitsMost
)

// Those of keeping and erasing.
type (
	RetentionRule = store.RetentionRule
	RetentionKind = store.RetentionKind
	LegalHold     = store.LegalHold
	Purge         = store.Purge
	PurgeItem     = store.PurgeItem
)
