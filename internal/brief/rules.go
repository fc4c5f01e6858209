package brief

import "regexp"

// rule is what one member may hold besides its type. The JSON Schema and Check both follow it.
type rule struct {
	about   string         // for the schema: what the member is, in words
	most    int            // characters of a text; 0 means 200
	lines   bool           // the text may have several lines
	blank   bool           // the text may be empty though the member is required
	pattern *regexp.Regexp // of a text
	shape   string         // the pattern in words
	oneOf   []string       // the only texts there are
	least   int            // entries of a list, or the least number
	top     int            // entries of a list (0 means 100), or the largest number (0 means 9999)
}

var (
	briefKey = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)
	itemKey  = regexp.MustCompile(`^[A-Za-zα-ωΑ-Ω][A-Za-z0-9α-ωΑ-Ω_′-]*$`)
	codeForm = regexp.MustCompile(`^[A-Za-z0-9]+([.-][A-Za-z0-9]+)*$`)
	refForm  = regexp.MustCompile(`^([A-Za-z0-9]+([.-][A-Za-z0-9]+)*/)?[A-Za-z0-9]+([.-][A-Za-z0-9]+)*$`)
)

const (
	briefKeyShape = "small letters and digits, with single dashes between them"
	itemKeyShape  = "letters, digits, underscores and dashes, with a letter first"
	codeShape     = "letters and digits, with single points or dashes between them"
	refShape      = "a code such as 1.2, or UNIT/1.2"
)

func keyRule(about string) rule {
	return rule{about: about, most: 40, pattern: itemKey, shape: itemKeyShape}
}

func quantityRule(about string) rule { return rule{about: about, most: 60} }

// mostRows is how many rows a table has at most.
const mostRows = 200

var (
	dayForm   = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}$`)
	ruleForm  = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*/[A-Za-zα-ωΑ-Ω][A-Za-z0-9α-ωΑ-Ω_′-]*$`)
	refToRule = rule{about: "a rule of the centre's own rule sets, as in bay7-electrical/cpc", most: 101, pattern: ruleForm, shape: ruleShape}
	betweens  = []string{BetweenExact, BetweenStraight}
)

const (
	dayShape     = "a day such as 2026-01-31"
	ruleShape    = "a rule set's key and a rule's, as in bay7-electrical/cpc"
	betweenAbout = "what lies between the rows: exact is nothing, straight is straight lines; outside of them there is never anything"
)

var formulaRule = rule{about: "in the notation, over givens, readings and earlier figures", most: 4096, lines: true}

// rules has a row for every member of the format, by type and name. Where one is missing a test says so.
var rules = map[string]rule{
	"Brief.brief":        {about: "the edition of the file format: 1", least: 1, top: 1},
	"Brief.key":          {about: "names the brief within a centre", most: 60, pattern: briefKey, shape: briefKeyShape},
	"Brief.title":        {about: "the task in a few words", most: 120},
	"Brief.about":        {about: "the job as the trainee finds it", most: 4000, lines: true},
	"Brief.cautions":     {about: "shown before the first stage, each complete in itself and ending with who decides", most: 600, lines: true},
	"Brief.conventions":  {about: "how to work: which properties, where the meter sits, gauge or absolute", most: 600, lines: true},
	"Brief.ruled-out":    {about: "rules of thumb that the conventions rule out; any other is right: constant-water is 1 kg/L and 4.2 kJ/(kg·K) at any temperature, flat-expansion is 4 %", oneOf: []string{"constant-water", "flat-expansion"}, top: 2},
	"Brief.criteria":     {about: "the assessment criteria that the brief covers", least: 1},
	"Brief.given":        {about: "named quantities that the trainee is given"},
	"Brief.tables":       {about: "tables that formulas call like functions", top: 20},
	"Brief.stages":       {about: "the parts of the work, in order", least: 1, top: 40},
	"Brief.cross-checks": {about: "relations that the readings should keep; a broken one raises a flag, never a mark"},
	"Brief.model-answer": {about: "what a perfect trainee would put down; it marks itself full", top: 1000},

	"CriterionRef.unit":  {about: "the qualification unit's code", most: 40, pattern: codeForm, shape: codeShape},
	"CriterionRef.codes": {about: "criteria of the unit, such as 1.2", most: 20, pattern: codeForm, shape: codeShape, least: 1},

	"Given.name":  keyRule("as formulas call it"),
	"Given.is":    {about: "the quantity in words"},
	"Given.value": quantityRule("a quantity such as 12.4 L/min; beside a range, the model answer's"),
	"Given.from":  quantityRule("the lower end of the range that each trainee is drawn a value from"),
	"Given.to":    quantityRule("the upper end, in the same unit"),
	"Given.step":  quantityRule("the step from one value to the next"),

	"Given.rule":   refToRule,
	"Given.source": {about: "the document that the value comes from, its edition and date", most: 300},

	"Table.name":    keyRule("as formulas call it, like a function"),
	"Table.is":      {about: "the table in words"},
	"Table.rule":    refToRule,
	"Table.of":      {about: "the unit that a row's at is in; none for plain numbers", most: 30},
	"Table.gives":   {about: "the unit that a row's is is in; none for plain numbers", most: 30},
	"Table.between": {about: betweenAbout, oneOf: betweens},
	"Table.rows":    {about: "the rows, at rising", top: mostRows},
	"Table.source":  {about: "the document that the table comes from, its edition and date", most: 300},
	"TableRow.at":   {about: "a plain number", most: 20},
	"TableRow.is":   {about: "a plain number", most: 20},

	"Stage.key":       keyRule("names the stage"),
	"Stage.title":     {about: "the stage in a few words", most: 120},
	"Stage.about":     {about: "what is to be done", most: 4000, lines: true},
	"Stage.cautions":  {about: "shown before the stage", most: 600, lines: true},
	"Stage.hold":      {about: "the hold point before the stage's work"},
	"Stage.items":     {about: "what is to be shown, in order", least: 1},
	"Stage.questions": {about: "what the tutor asks aloud at the bench; trainees do not see it before the decision", top: 20},

	"Question.ask":    {about: "the question", most: 400, lines: true},
	"Question.listen": {about: "what a good answer has in it", most: 1000, lines: true},

	"Hold.show":        {about: "what must be shown before it is released", most: 1000, lines: true},
	"Hold.entitlement": {about: "the registration or approval that the releaser needs, in date", oneOf: []string{"gas", "electrical", "unvented"}},
	"Hold.needs":       {about: "keys of earlier items whose true value must be right before release", most: 40},

	"Item.key":             keyRule("names the item in formulas and results"),
	"Item.title":           {about: "the item in a few words", most: 120},
	"Item.about":           {about: "how to do it", most: 4000, lines: true},
	"Item.criteria":        {about: "the criteria it bears on: UNIT/1.2, or 1.2 where the brief has one unit", most: 61, pattern: refForm, shape: refShape},
	"Item.optional":        {about: "may be left out when handing over"},
	"Item.must-be-seen":    {about: "the tutor has to watch this being done"},
	"Item.reopened-by":     {about: "keys of items or stages that, done again, make this one lapse", most: 40},
	"Item.photo":           {about: "one or more pictures"},
	"Item.reading":         {about: "a measured value"},
	"Item.functional-test": {about: "a grid: for each row of demands, what each check should show"},
	"Item.observation":     {about: "stated words, no number"},
	"Item.sequence":        {about: "steps in order, each with its time"},
	"Item.figure":          {about: "a worked value"},
	"Item.choice":          {about: "one of several options, or a size from a table"},
	"Item.answer":          {about: "written words, judged by the tutor"},
	"Item.confirm":         {about: "a declaration to be ticked"},
	"Item.document":        {about: "a file"},

	"Photo.visible":  {about: "what must be visible", least: 1},
	"Photo.at-least": {about: "how many pictures at least", top: 30},
	"Photo.card":     {about: "the attempt's printed code card is to lie in the picture; the server looks for it and says so, and refuses nothing"},

	"Reading.is":              {about: "the quantity in words"},
	"Reading.unit":            {about: "the asked unit; empty for a plain number", most: 30, blank: true},
	"Reading.phases":          {about: "when it is taken; formulas use the last", oneOf: []string{string(AsFound), string(AsLeft)}, top: 2},
	"Reading.limit":           {about: "judges the as-left value, or the only one"},
	"Reading.believable":      {about: "outside it raises a flag, never a mark"},
	"Reading.repeats":         {about: "how many times; formulas use the mean", top: 20},
	"Reading.instrument":      {about: "the kind of instrument"},
	"Reading.accuracy":        quantityRule("the instrument's: an amount such as 0.2 K, a share such as 2 %, or both: 2 % + 0.03 Ω; where the reading is asked in %, a % is an amount"),
	"Reading.safety-critical": {about: "the value counts only once the tutor saw or checked it"},
	"Reading.check-within":    quantityRule("the largest difference from the tutor's check reading"),
	"Reading.overload":        {about: "what OL means here", oneOf: []string{"pass", "fail"}},

	"Limit.rule":           refToRule,
	"Limit.at-least":       quantityRule("this or more"),
	"Limit.at-most":        quantityRule("this or less"),
	"Limit.source":         {about: "the document that the limit comes from, its edition and date", most: 300},
	"Limit.carries-margin": {about: "the limit carries its margin already: measurement uncertainty is never put on top"},
	"Limit.guard-band":     {about: "for teaching measurement: how far inside the limit a value has to lie"},
	"GuardBand.rule":       {about: "guarded: a value inside the band does not keep the limit; three-state: near the limit on either side the tutor reads it", oneOf: []string{RuleGuarded, RuleThreeState}},
	"GuardBand.share":      quantityRule("a share of the expanded uncertainty, such as 100 %"),
	"GuardBand.amount":     quantityRule("an amount such as 0.2 mbar"),
	"GuardBand.because":    {about: "the reason", most: 300},
	"Range.from":           quantityRule("the lower end"),
	"Range.to":             quantityRule("the upper end"),

	"FunctionalTest.demands":         {about: "what is set: heads of columns", least: 1, top: 12},
	"FunctionalTest.checks":          {about: "what is observed: heads of columns", least: 1, top: 12},
	"FunctionalTest.rows":            {about: "the states to set up", least: 1},
	"FunctionalTest.ordered":         {about: "the rows are done in order, because a state is held"},
	"FunctionalTest.live":            {about: "done live: a hold point stands before it"},
	"FunctionalTest.safety-critical": {about: "a wrong cell keeps its criteria from being met"},
	"FunctionalTest.complete":        {about: "the rows are every combination of the demands' words"},
	"FunctionalTest.faults":          {about: "faults that a wrong grid points at: advice, never a mark", top: 40},
	"GridFault.key":                  keyRule("names the fault"),
	"GridFault.is":                   {about: "the fault in words", most: 300},
	"GridFault.look":                 {about: "where to look for it; at mains equipment it ends with dead and isolated", most: 300},
	"GridFault.shows":                {about: "every row that the fault makes differ", least: 1},
	"FaultRow.row":                   {about: "the row's key", most: 40},
	"FaultRow.cells":                 {about: "what is then seen, one entry for each check; empty where it stays as expected", most: 60, least: 1, blank: true},
	"Column.key":                     keyRule("names the check"),
	"Column.title":                   {about: "what is observed", most: 120},
	"Column.options":                 {about: "the words that may stand in the column", most: 60, least: 2, top: 20},
	"Column.held":                    {about: "the option that stands for holding what the row before showed", most: 60},
	"TestRow.key":                    keyRule("names the row"),
	"TestRow.set":                    {about: "one entry for each demand", most: 80, least: 1},
	"TestRow.expect":                 {about: "one entry for each check, from its options", most: 60, least: 1},

	"Observation.options":         {about: "the words to choose from", most: 120, least: 2, top: 20},
	"Observation.expect":          {about: "the right one of the options; none where all are fair", most: 120},
	"Observation.safety-critical": {about: "anything else keeps its criteria from being met"},
	"Sequence.steps":              {about: "the steps, in order", least: 1},
	"Sequence.safety-critical":    {about: "a missing step keeps its criteria from being met"},
	"Step.key":                    keyRule("names the step"),
	"Step.text":                   {about: "what is done", most: 400},
	"Step.wait":                   quantityRule("how long after the step before it at least, such as 10 min"),
	"Step.within":                 quantityRule("how long after the step before it at most"),

	"Figure.ask":             {about: "the quantity in words", most: 400, lines: true},
	"Figure.unit":            {about: "the asked unit; empty for a plain number", most: 30, blank: true},
	"Figure.formula":         formulaRule,
	"Figure.tolerance":       {about: "how far a stated figure may lie from the unrounded reference"},
	"Figure.limit":           {about: "the true value is judged against it"},
	"Figure.ask-unit":        {about: "the trainee has to state the unit"},
	"Figure.working":         {about: "the written calculation is required"},
	"Figure.marks":           {about: "0 means 1", top: 100},
	"Figure.safety-critical": {about: "no follow-through: the true value decides"},
	"Figure.slips":           {about: "known wrong ways of working", top: 40},

	"Tolerance.absolute":            quantityRule("an amount such as 0.1 K"),
	"Tolerance.relative":            quantityRule("a share of the reference such as 3 %"),
	"Tolerance.significant-figures": {about: "right to so many figures", top: 12},
	"Tolerance.at-least":            {about: "the reference or more"},
	"Tolerance.at-most":             {about: "the reference or less"},
	"Tolerance.bound":               quantityRule("with at-least or at-most: the furthest that is accepted"),
	"Tolerance.because":             {about: "the bound's reason", most: 300},
	"Tolerance.exact":               {about: "the reference itself"},

	"Slip.key":     keyRule("names the slip"),
	"Slip.is":      {about: "said to the tutor", most: 300},
	"Slip.formula": formulaRule,
	"Slip.option":  {about: "in a choice: the option that the slip leads to"},

	"Choice.ask":             {about: "the question", most: 400, lines: true},
	"Choice.options":         {about: "the first whose condition holds is right", top: 20},
	"Choice.size":            {about: "the first size not less than a formula is right"},
	"Choice.marks":           {about: "0 means 1", top: 100},
	"Choice.safety-critical": {about: "no follow-through: the true value decides"},
	"Choice.slips":           {about: "known wrong ways of working", top: 40},
	"Option.text":            {about: "the option as the trainee reads it"},
	"Option.when":            {about: "a condition, such as heat ≥ load; without one the option always holds", most: 4096, lines: true},
	"Size.formula":           formulaRule,
	"Size.unit":              {about: "of the sizes", most: 30, blank: true},
	"Size.sizes":             {about: "plain numbers, rising", most: 20, least: 2},
	"Size.larger-too":        {about: "any larger size is right as well"},

	"Answer.ask":              {about: "the question", most: 1000, lines: true},
	"Answer.words":            {about: "about how many words", top: 2000},
	"Answer.guide":            {about: "for the tutor's eyes only", most: 4000, lines: true},
	"Confirm.text":            {about: "the declaration", most: 1000, lines: true},
	"Confirm.safety-critical": {about: "without it its criteria are not met"},
	"Document.is":             {about: "which document", most: 300},
	"CrossCheck.is":           {about: "the relation in words", most: 300},
	"CrossCheck.holds":        {about: "a condition over readings, givens and figures", most: 4096, lines: true},

	"ModelAnswer.item":    {about: "the item's key", most: 40},
	"ModelAnswer.part":    {about: "the repeat's number, row/check of a grid, a step's key", most: 81},
	"ModelAnswer.phase":   {about: "of a reading", oneOf: []string{string(AsFound), string(AsLeft)}},
	"ModelAnswer.text":    {about: "what is put down", most: 4000, lines: true},
	"ModelAnswer.unit":    {about: "where the unit is asked as well", most: 30},
	"ModelAnswer.working": {about: "the written calculation", most: 4000, lines: true},

	"RuleSet.rule-set":      {about: "the edition of the file format: 1", least: 1, top: 1},
	"RuleSet.key":           {about: "as briefs name it, the same in all its editions", most: 60, pattern: briefKey, shape: briefKeyShape},
	"RuleSet.title":         {about: "the rule set in a few words", most: 80},
	"RuleSet.edition":       {about: "names the edition within the set", most: 40},
	"RuleSet.valid-from":    {about: "the first day, as 2026-01-01", most: 10, pattern: dayForm, shape: dayShape},
	"RuleSet.valid-to":      {about: "the last day; without one the edition stays in force until the next starts", most: 10, pattern: dayForm, shape: dayShape},
	"RuleSet.source":        {about: "the document that the rules come from, its edition and date", most: 160},
	"RuleSet.demonstration": {about: "the rules are invented: whoever teaches enters their own from the current standard"},
	"RuleSet.entered-by":    {about: "who entered the edition", most: 120},
	"RuleSet.checked-by":    {about: "who else has checked it: an edition counts only then", most: 120},
	"RuleSet.rules":         {about: "limits, values and tables", least: 1, top: 500},

	"Rule.key":            keyRule("names the rule within its set"),
	"Rule.is":             {about: "the rule in words"},
	"Rule.at-least":       quantityRule("of a limit: this or more"),
	"Rule.at-most":        quantityRule("of a limit: this or less"),
	"Rule.carries-margin": {about: "the limit carries its margin already: measurement uncertainty is never put on top"},
	"Rule.value":          quantityRule("a quantity such as 39.2 MJ/m³"),
	"Rule.table":          {about: "a table that formulas call like a function"},
	"RuleTable.of":        {about: "the unit that a row's at is in; empty for plain numbers", most: 30, blank: true},
	"RuleTable.gives":     {about: "the unit that a row's is is in; empty for plain numbers", most: 30, blank: true},
	"RuleTable.between":   {about: betweenAbout, oneOf: betweens},
	"RuleTable.rows":      {about: "the rows, at rising", least: 2, top: mostRows},
}
