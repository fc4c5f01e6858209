# The two commands to know are `make demo` and `make test`. Both do all their own set-up.

E2E := web/e2e
ORACLE := internal/oracle
RIVALS := internal/bench/rivals
INSTALLED := node_modules/.package-lock.json
MARKER := $(addprefix ./internal/,quantity formula trade uncertainty brief marking)

.PHONY: demo test needs check unit oracle arm64 browser e2e bench bench-web soak build golden

## demo: a private PostgreSQL, the demonstration centre and the server; Ctrl-C stops all of it. It is `go run` in two steps,
## because go run calls every Ctrl-C a failure.
demo:
	@.ci/need postgresql
	@go build -o bin/witnessmark ./cmd/witnessmark
	@bin/witnessmark demo $(ARGS)

## test: everything, on a fresh machine. The browser waits for most of its time, so that it goes beside all else, which begins
## with what the compiler and its kind can say. What is needed is installed before, since the system's packages are installed by
## one at a time. Each case is looked at once here: `make soak` has the long runs.
test: needs
	@$(MAKE) --no-print-directory -j2 -Otarget browser check unit oracle arm64

needs:
	@.ci/need postgresql-programs browser pdf heic trace node units qemu tables

## check: formatting, vet, staticcheck, with the files that only `make oracle` compiles. Nothing else vets.
check:
	@test -z "$$(gofmt -l cmd internal migrations seed web)" || { echo "Run gofmt on:"; gofmt -l cmd internal migrations seed web; exit 1; }
	go vet -tags oracle ./...
	for d in $(RIVALS) internal/pdf/pdfcpu; do (cd $$d && go vet .) || exit 1; done
	go tool staticcheck -tags oracle ./...

## unit: Go's tests, on real PostgreSQL servers of their own, with the race detector where anything runs at once. The packages
## of CALM do one thing after the other, which the detector would only make some times slower: they go without, but for their
## tests of what happens at once. `make soak` has the detector watch all.
## Most wait for a disk, a lock or a clock, so that twice as many go at once as there are processors.
TOGETHER := -p $(shell echo $$((2 * $$(getconf _NPROCESSORS_ONLN))))
CALM := cmd/witnessmark|seed|internal/(account|api|app|bag|brief|codecard|decision|fault|formula|golden|insight|ledger|marking|pades|pdf|pdfcheck|pdfread|photo|portfolio|quantity|sampling|table|trade|ui|uncertainty|verify)
unit:
	@.ci/need postgresql-programs pdf heic trace
	go test -vet=off -race $(TOGETHER) -timeout 30m $$(go list ./... | grep -v -E '^witnessmark/($(CALM))(/|$$)')
	go test -vet=off -race -run AtOnce ./internal/marking ./internal/app
	go test -vet=off $(TOGETHER) -timeout 30m $$(go list ./... | grep -E '^witnessmark/($(CALM))(/|$$)')

## oracle: units and formulas, and portfolios, against programs and libraries of others.
oracle: $(ORACLE)/$(INSTALLED)
	@.ci/need node units tables
	go test -vet=off -tags oracle -count=1 ./$(ORACLE)
	cd internal/pdf/pdfcpu && go test -vet=off -count=1 .

## arm64: what marks gives the same bytes on another kind of processor, which is emulated here. Nor may that one round a
## product and a sum at once where the program does not ask for it, as formula/power.go does. Properties are tried on fewer
## cases than at home (-short), and what no processor could make different is left to `make soak`, which takes SKIP away: what
## is said of bad input (BAD), what memory is kept, whether two ways or two goes on the same processor agree (SAME), what a
## million trials come to, since the trials themselves are held to the last bit (MANY), how often slips of any size are found
## (SLIPS), and the text of brief files.
arm64: BAD := Bad|Any|AFault|TwoFaults|ReadSheetRefuses|WorkingThatNeverEnds|HostileLines|Limits|LongTexts
arm64: SAME := Bulk|Remark|Explain|AttemptsExplanations|Promise1|TheOrderOfEntries|ScalingUnits|TheAdvice|FamilyAgrees|ThereAndBack|Turns
arm64: MANY := MonteCarlo|Distributions|Draws|JCGM101|StudentAgainst|UncertaintyNever
arm64: SLIPS := SlipsAreSeldom|VectorsDeclaredSlips|VectorsSlips
arm64: SKIP ?= ^Test($(BAD)|$(SAME)|$(MANY)|$(SLIPS))
arm64: export GOOS = linux
arm64: export GOARCH = arm64
arm64: export CGO_ENABLED = 0
arm64:
	@.ci/need qemu
	@! go build -gcflags=-S $(MARKER) 2>&1 | grep -E 'FN?M(ADD|SUB)D' | grep -v /power.go: || { echo "Put the product in float64()."; exit 1; }
	go test -exec qemu-aarch64 -vet=off -short $(if $(SKIP),-skip '$(SKIP)') $(if $(SKIP),$(filter-out ./internal/brief,$(MARKER)),$(MARKER))

## browser: the scripts' own tests, then the main job and every case of the phone in a real browser, with ten random fault runs,
## the same each time; SEED takes others, RUNS changes how many.
browser: e2e
	cd $(E2E) && npm run --silent types && npm run --silent unit && SEED=$(or $(SEED),1) npm test --silent

e2e: $(E2E)/$(INSTALLED)
	@.ci/need postgresql-programs browser pdf
	go build -o bin/witnessmark ./cmd/witnessmark

## bench: figures from one run, medians of five interleaved rounds; stops non-zero when one misses its bar.
bench: $(RIVALS)/$(INSTALLED)
	@.ci/need postgresql-programs
	failed=; go run ./internal/bench || failed=1; go run ./internal/bench/marker || failed=1; go run ./internal/bench/portfolio || failed=1; (cd $(RIVALS) && go run .) || failed=1; [ -z "$$failed" ]

## bench-web: what a trainee's phone waits for and takes, in one run; stops non-zero when a median misses its bar.
bench-web: e2e
	cd $(E2E) && npm run --silent bench

## soak: kills the program and its PostgreSQL under load, CYCLES times each, with a phone beside it that sends a kilobit a second,
## then does RUNS random fault runs on a phone, new ones each time; SEED does earlier ones again. Ten thousand bytes of a portfolio
## are changed, one after the other. Last it tries all of the marker on the other processor, and all tests under the race detector.
soak: e2e
	@.ci/need postgresql-programs
	go test ./internal/faults -count=1 -timeout 0 -v -args -cycles $(or $(CYCLES),300) -bits 1000 -seed $(or $(SEED),0)
	go test ./internal/verify -count=1 -timeout 0 -run TestBytes -args -flips 10000
	cd $(E2E) && RUNS=$(or $(RUNS),1000) SEED=$(SEED) npx playwright test phone-random
	$(MAKE) --no-print-directory arm64 SKIP=
	go test -vet=off -race -timeout 0 ./...

## golden: writes the golden files afresh; read the difference before you commit it.
golden:
	go test $$(grep -rl --include='*_test.go' '"witnessmark/internal/golden"' internal | xargs -n1 dirname | sort -u | sed 's,^,./,') -update

# npm writes this copy last.
%/$(INSTALLED): %/package-lock.json
	@.ci/need node
	cd $* && npm ci --no-audit --no-fund --silent

build:
	CGO_ENABLED=0 go build -o bin/ ./cmd/...
