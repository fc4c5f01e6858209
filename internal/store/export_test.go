package store

// What the tests, which stand outside the package, need of its inside.
var (
	MigrateFrom = migrateFrom
	NewMigrator = newMigrator
	Translate   = translate
)

// Args is a statement's arguments by name.
type Args = args
