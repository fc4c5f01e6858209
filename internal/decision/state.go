// Package decision is the state machine of an attempt and the rules for judging it: hold points, criteria, sign-off.
//
// A person decides and nothing is edited: every release, decision, override and sign-off is a Record that is appended,
// keeps its canonical bytes, and may be superseded by a later one. Time is an argument here, never read.
package decision

import "witnessmark/internal/fault"

// State is where an attempt stands.
type State string

// The states, in their usual order, then the side states.
const (
	Planned    State = "planned"
	Open       State = "open"
	HandedOver State = "handed_over"
	Checked    State = "checked" // the marker ran
	Decided    State = "decided" // every criterion has a decision
	MoreToDo   State = "more_to_do"
	SignedOff  State = "signed_off"
	Cleared    State = "cleared" // for claim
	Claimed    State = "claimed"
	Archived   State = "archived"
	Destroyed  State = "destroyed"

	SafetyStopped State = "safety_stop"
	Suspended     State = "suspended"
	UnderAppeal   State = "under_appeal"
	Withdrawn     State = "withdrawn"
	SetAside      State = "set_aside"
)

// Words is the state as people read it.
func (s State) Words() string {
	switch s {
	case Planned:
		return "set, not started"
	case Open:
		return "in progress"
	case HandedOver:
		return "handed over, being checked"
	case Checked:
		return "waiting for the tutor"
	case Decided:
		return "decided, not signed off"
	case MoreToDo:
		return "more to do"
	case SignedOff:
		return "signed off"
	case Cleared:
		return "cleared for claim"
	case SafetyStopped:
		return "stopped for safety"
	case UnderAppeal:
		return "under appeal"
	case SetAside:
		return "set aside"
	}
	return string(s)
}

// Event is something that moves an attempt on.
type Event string

// The events.
const (
	EventOpen      Event = "open"
	EventHandOver  Event = "hand over"
	EventChecked   Event = "check"
	EventDecide    Event = "decide"     // a criterion decided, others still open
	EventDecideAll Event = "decide all" // the last open criterion decided
	EventSignOff   Event = "sign off"
	EventAskMore   Event = "ask for more"
	EventStop      Event = "stop for safety"
	EventClearStop Event = "clear the safety stop"
	EventUnstop    Event = "clear the stop before the start" // of work that had not begun
	EventClear     Event = "clear for claim"
	EventClaim     Event = "claim"
	EventWithdraw  Event = "withdraw" // the trainee left, or an appeal made it needless; Leaving tells which

	EventTakeBack       Event = "take a decision back"
	EventAppeal         Event = "appeal"
	EventAppealRejected Event = "reject the appeal"
	EventAppealUpheld   Event = "uphold the appeal"

	EventReturn   Event = "return it to the tutor" // what a sampler disagrees with is decided afresh
	EventSuspend  Event = "suspend it"             // frozen while an inquiry runs; its record keeps the state to go back to
	EventSetAside Event = "set it aside"
	EventArchive  Event = "archive it"
	EventDestroy  Event = "destroy it"
)

// moves is the whole machine but for lifting a suspension and taking a withdrawal back, which go back to where it was
// (BeforeSuspension, BeforeLeaving). What was signed off is archived without a claim where its trainee left. Which of the two events clears a stop is ClearingStop's to say. An appeal is against what was sent back; where it is upheld the criteria are
// decided afresh.
var moves = map[Event]map[State]State{
	EventOpen:      {Planned: Open},
	EventHandOver:  {Open: HandedOver},
	EventChecked:   {HandedOver: Checked, Checked: Checked, Decided: Decided},
	EventDecide:    {Checked: Checked, Decided: Decided},
	EventDecideAll: {Checked: Decided, Decided: Decided},
	EventSignOff:   {Decided: SignedOff},
	EventAskMore:   {Decided: MoreToDo},
	EventStop:      {Planned: SafetyStopped, Open: SafetyStopped},
	EventClearStop: {SafetyStopped: Open},
	EventUnstop:    {SafetyStopped: Planned},
	EventClear:     {SignedOff: Cleared},
	EventClaim:     {Cleared: Claimed},
	EventWithdraw:  {Planned: Withdrawn, Open: Withdrawn, HandedOver: Withdrawn, Checked: Withdrawn, Decided: Withdrawn, SafetyStopped: Withdrawn},

	EventTakeBack:       {Checked: Checked, Decided: Checked},
	EventAppeal:         {MoreToDo: UnderAppeal},
	EventAppealRejected: {UnderAppeal: MoreToDo},
	EventAppealUpheld:   {UnderAppeal: Checked},

	EventReturn:   {SignedOff: Checked},
	EventSuspend:  {Planned: Suspended, Open: Suspended, HandedOver: Suspended, Checked: Suspended, Decided: Suspended, MoreToDo: Suspended, SignedOff: Suspended, Cleared: Suspended, UnderAppeal: Suspended, SafetyStopped: Suspended, Claimed: Suspended, Archived: Suspended},
	EventSetAside: {Suspended: SetAside, Planned: SetAside, Open: SetAside, HandedOver: SetAside, Checked: SetAside, Decided: SetAside, MoreToDo: SetAside, SignedOff: SetAside, Cleared: SetAside},
	EventArchive:  {SignedOff: Archived, Cleared: Archived, Claimed: Archived, Withdrawn: Archived, SetAside: Archived, MoreToDo: Archived},
	EventDestroy:  {Archived: Destroyed},
}

// Next is the state after the event, or a Conflict that says where the attempt stands instead.
func Next(s State, e Event) (State, error) {
	if to, ok := moves[e][s]; ok {
		return to, nil
	}
	return s, fault.Conflict("This attempt is %s: you cannot %s now. Load the page again to see what changed.", s.Words(), e)
}
