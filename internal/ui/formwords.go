package ui

// formLabels names the fields of a brief being written, by type and member. A test says where one is missing.
var formLabels = map[string]string{
	"Brief.key": "Key", "Brief.title": "Title", "Brief.about": "The job as the trainee finds it", "Brief.cautions": "Cautions",
	"Brief.conventions": "How to work it", "Brief.ruled-out": "Rules of thumb that this rules out", "Brief.criteria": "Criteria",
	"Brief.given": "Given values", "Brief.tables": "Tables", "Brief.stages": "Stages", "Brief.cross-checks": "Relations that readings keep",
	"Brief.model-answer": "Model answers to nothing that is asked",

	"CriterionRef.unit": "Unit of the qualification", "CriterionRef.codes": "Its criteria",

	"Given.name": "Called", "Given.is": "What it is", "Given.value": "Value", "Given.from": "Drawn from", "Given.to": "to", "Given.step": "in steps of",
	"Given.rule": "From a rule set", "Given.source": "Source",

	"Table.name": "Called", "Table.is": "What it is", "Table.rule": "From a rule set", "Table.of": "Unit it is asked with", "Table.gives": "Unit it gives",
	"Table.between": "Between the rows", "Table.rows": "Rows", "Table.source": "Source", "TableRow.at": "At", "TableRow.is": "Is",

	"Stage.key": "Key", "Stage.title": "Title", "Stage.about": "What is to be done", "Stage.cautions": "Cautions", "Stage.hold": "Hold point before it",
	"Stage.items": "Items", "Stage.questions": "To ask aloud", "Question.ask": "Question", "Question.listen": "Listen for",
	"Hold.show": "What must be shown", "Hold.entitlement": "Registration that the releaser needs", "Hold.needs": "Items that must be right first",

	"Item.key": "Key", "Item.title": "Title", "Item.about": "How to do it", "Item.criteria": "Bears on", "Item.optional": "May be left out",
	"Item.must-be-seen": "The tutor has to watch it", "Item.reopened-by": "Lapses when done again",
	"Item.photo": "Photo", "Item.reading": "Reading", "Item.functional-test": "Functional test", "Item.observation": "Observation", "Item.sequence": "Sequence",
	"Item.figure": "Figure", "Item.choice": "Choice", "Item.answer": "Answer", "Item.confirm": "Confirmation", "Item.document": "Document",

	"Photo.visible": "What must be visible", "Photo.at-least": "How many pictures", "Photo.card": "With the code card in the picture",

	"Reading.is": "Quantity", "Reading.unit": "Unit", "Reading.phases": "Taken", "Reading.limit": "Limit", "Reading.believable": "Believable",
	"Reading.repeats": "How many times", "Reading.instrument": "Instrument", "Reading.accuracy": "Its accuracy", "Reading.safety-critical": "Safety-critical",
	"Reading.check-within": "Check reading within", "Reading.overload": "OL means",
	"Limit.rule": "From a rule set", "Limit.at-least": "At least", "Limit.at-most": "At most", "Limit.source": "Source",
	"Limit.carries-margin": "Carries its margin already", "Limit.guard-band": "Guard band", "GuardBand.rule": "Rule", "GuardBand.share": "Share of the uncertainty",
	"GuardBand.amount": "or an amount", "GuardBand.because": "Because", "Range.from": "from", "Range.to": "to",

	"FunctionalTest.demands": "What is set", "FunctionalTest.checks": "What is observed", "FunctionalTest.rows": "Rows", "FunctionalTest.ordered": "In this order",
	"FunctionalTest.live": "Done live", "FunctionalTest.safety-critical": "Safety-critical", "FunctionalTest.complete": "Every combination stands here",
	"FunctionalTest.faults": "Faults that a wrong grid points at",
	"GridFault.key":         "Key", "GridFault.is": "The fault", "GridFault.look": "Look", "GridFault.shows": "Rows that it makes differ", "FaultRow.row": "Row", "FaultRow.cells": "shows",
	"Column.key": "Key", "Column.title": "What is observed", "Column.options": "Words to choose from", "Column.held": "Word for holding",
	"TestRow.key": "Key", "TestRow.set": "Set", "TestRow.expect": "Expected",

	"Observation.options": "Words to choose from", "Observation.expect": "The right one", "Observation.safety-critical": "Safety-critical",
	"Sequence.steps": "Steps", "Sequence.safety-critical": "Safety-critical", "Step.key": "Key", "Step.text": "What is done", "Step.wait": "Wait at least", "Step.within": "Within",

	"Figure.ask": "Quantity", "Figure.unit": "Unit", "Figure.formula": "Formula", "Figure.tolerance": "Tolerance", "Figure.limit": "Limit",
	"Figure.ask-unit": "The unit is asked for", "Figure.working": "With written working", "Figure.marks": "Marks", "Figure.safety-critical": "Safety-critical", "Figure.slips": "Slips",
	"Tolerance.absolute": "Amount", "Tolerance.relative": "Share", "Tolerance.significant-figures": "Significant figures", "Tolerance.at-least": "The reference or more",
	"Tolerance.at-most": "The reference or less", "Tolerance.bound": "Furthest accepted", "Tolerance.because": "Because", "Tolerance.exact": "The reference itself",
	"Slip.key": "Key", "Slip.is": "Said to the tutor", "Slip.formula": "Formula", "Slip.option": "Option it leads to",

	"Choice.ask": "Question", "Choice.options": "Options", "Choice.size": "Or a size", "Choice.marks": "Marks", "Choice.safety-critical": "Safety-critical", "Choice.slips": "Slips",
	"Option.text": "Option", "Option.when": "Right when", "Size.formula": "First size not less than", "Size.unit": "Unit", "Size.sizes": "Sizes", "Size.larger-too": "Any larger size as well",

	"Answer.ask": "Question", "Answer.words": "About how many words", "Answer.guide": "For the tutor's eyes", "Confirm.text": "Declaration",
	"Confirm.safety-critical": "Safety-critical", "Document.is": "Which document", "CrossCheck.is": "The relation", "CrossCheck.holds": "Holds when",

	"ModelAnswer.item": "Item", "ModelAnswer.part": "Part", "ModelAnswer.phase": "When", "ModelAnswer.text": "Put down", "ModelAnswer.unit": "Unit", "ModelAnswer.working": "Working",
}

// formAside are the fields that are folded away until they hold something.
var formAside = map[string]bool{
	"Brief.ruled-out": true,
	"Given.rule":      true, "Given.source": true, "Table.rule": true, "Table.source": true,
	"Stage.about": true, "Stage.cautions": true, "Stage.questions": true,
	"Item.about": true, "Item.optional": true, "Item.must-be-seen": true, "Item.reopened-by": true,
	"Reading.believable": true, "Reading.repeats": true, "Reading.instrument": true, "Reading.accuracy": true, "Reading.check-within": true, "Reading.overload": true,
	"Limit.rule": true, "Limit.carries-margin": true, "Limit.guard-band": true,
	"FunctionalTest.faults": true, "Column.held": true,
	"Figure.limit": true, "Figure.marks": true, "Choice.marks": true,
	"Tolerance.at-least": true, "Tolerance.at-most": true, "Tolerance.bound": true, "Tolerance.because": true, "Tolerance.exact": true,
	"Step.wait": true, "Step.within": true,
}

// formShort are the fields that need little room.
var formShort = map[string]bool{
	"Given.name": true, "Given.value": true, "Given.from": true, "Given.to": true, "Given.step": true, "CriterionRef.unit": true,
	"Item.key": true, "Stage.key": true, "Reading.unit": true, "Figure.unit": true, "Size.unit": true, "Slip.key": true, "Step.key": true, "Column.key": true, "GridFault.key": true,
	"Limit.at-least": true, "Limit.at-most": true, "Tolerance.absolute": true, "Tolerance.relative": true, "Tolerance.significant-figures": true, "Tolerance.bound": true,
	"Range.from": true, "Range.to": true, "Figure.marks": true, "Choice.marks": true, "Reading.repeats": true, "Photo.at-least": true, "Answer.words": true,
	"Reading.accuracy": true, "Reading.check-within": true, "Reading.overload": true, "Step.wait": true, "Step.within": true, "ModelAnswer.unit": true,
	"Table.name": true, "Table.of": true, "Table.gives": true, "Observation.expect": true,
}

// formHints say of the sheet's sections what their fields do not.
var formHints = map[string]string{
	"criteria":     "The criteria that this brief covers; each item below says on which of them it bears.",
	"given":        "A value such as 12.4 L/min, or a range from which each trainee is drawn a value of their own; beside a range, Value is the model answer's.",
	"tables":       "Formulas call a table by its name, like a function.",
	"cross-checks": "A broken relation raises a question for the tutor, never a mark.",
}

// formFormulas are the fields that hold formulas and conditions.
var formFormulas = map[string]bool{"Figure.formula": true, "Slip.formula": true, "Size.formula": true, "Option.when": true, "CrossCheck.holds": true}

// formWays says how a list of texts is typed.
var formWays = map[string]string{"commas": "with commas between", "lines": "one a line", "paragraphs": "an empty line between two"}

// entryNouns name one entry of a list, for the buttons beside it.
var entryNouns = map[string]string{
	"CriterionRef": "unit", "Given": "given value", "Table": "table", "TableRow": "row", "Stage": "stage", "Question": "question", "Item": "item", "Column": "check",
	"TestRow": "row", "GridFault": "fault", "FaultRow": "row", "Step": "step", "Slip": "slip", "Option": "option", "CrossCheck": "relation", "ModelAnswer": "answer",
}
