package store

// What the tests, which stand outside the package, need of its inside.
var (
	MigrateFrom = migrateFrom
	NewMigrator = newMigrator
	Translate   = translate
)

// ForgetStatements is what erasing does to the entries of rows about somebody.
var ForgetStatements = (*Tx).forgetStatements

// Args is a statement's arguments by name.
type Args = args

// Overtaken is the condition on an entry x.
const Overtaken = overtaken
