module witnessmark/internal/bench/rivals

go 1.26.0

require (
	github.com/expr-lang/expr v1.17.8
	witnessmark v0.0.0
)

replace witnessmark => ../../..
