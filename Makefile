# The two commands to know are `make demo` and `make test`. Both do all their own set-up.

E2E := web/e2e
ORACLE := internal/oracle
RIVALS := internal/bench/rivals
MARKER := $(addprefix ./internal/,quantity formula trade uncertainty brief marking)

.PHONY: demo test needs check unit oracle arm64 browser e2e bench bench-web soak build golden

## demo: a private PostgreSQL, the demonstration centre and the server; Ctrl-C stops all of it. It is `go run` in two steps,
## because go run calls every Ctrl-C a failure.
demo:
	@.ci/need postgresql
	@go build -o bin/witnessmark ./cmd/witnessmark
	@bin/witnessmark demo $(ARGS)

## test: everything, on a fresh machine. The browser mostly waits, so what asks others runs beside it; all is installed
## before, since the system's packages are installed by one at a time.
test: needs check unit
	@$(MAKE) --no-print-directory -j2 -Otarget browser oracle arm64

needs:
	@.ci/need postgresql-programs browser pdf heic trace node units qemu tables

## check: formatting, vet, staticcheck.
check:
	@test -z "$$(gofmt -l cmd internal migrations seed web)" || { echo "Run gofmt on:"; gofmt -l cmd internal migrations seed web; exit 1; }
	go vet ./...
	cd $(RIVALS) && go vet .
	go tool staticcheck ./...

## unit: Go's tests, on real PostgreSQL servers of their own, with the race detector where anything runs at once. The packages
## of CALM do one thing after the other (seed draws its pictures at once, nothing more), which the detector would only make
## ten times slower: they go without, but for the marker's test that marks many sheets at once.
CALM := seed|internal/(account|brief|codecard|decision|fault|formula|golden|marking|pdf|photo|portfolio|quantity|trade|ui|uncertainty)
unit:
	@.ci/need postgresql-programs pdf heic trace
	go test -race $$(go list ./... | grep -v -E '^witnessmark/($(CALM))(/|$$)')
	go test -race -run AtOnce ./internal/marking
	go test $$(go list ./... | grep -E '^witnessmark/($(CALM))(/|$$)')

## oracle: units and formulas against programs of others.
oracle:
	@.ci/need node units tables
	cd $(ORACLE) && npm ci --no-audit --no-fund --silent
	go vet -tags oracle ./$(ORACLE)
	go tool staticcheck -tags oracle ./$(ORACLE)
	go test -tags oracle -count=1 ./$(ORACLE)

## arm64: what marks gives the same bytes on another kind of processor, which is emulated here. Nor may that one round a
## product and a sum at once where the program does not ask for it, as formula/power.go does. Properties are tried on fewer
## cases than at home (-short), and what no processor could make different is left to `make soak`, which takes SKIP away: what
## is said of bad input, what memory is kept, and reading again the words that the same figures were explained in.
arm64: SKIP ?= ^Test(Bad|RemarkKeepsNothing|AttemptsExplanationsReadBack|ExplanationsReadBack)
arm64: export GOOS = linux
arm64: export GOARCH = arm64
arm64: export CGO_ENABLED = 0
arm64:
	@.ci/need qemu
	@! go build -gcflags=-S $(MARKER) 2>&1 | grep -E 'FN?M(ADD|SUB)D' | grep -v /power.go: || { echo "Put the product in float64()."; exit 1; }
	go test -exec qemu-aarch64 -vet=off -short $(if $(SKIP),-skip '$(SKIP)') $(MARKER)

## browser: the scripts' own tests, then the main job and every case of the phone in a real browser, with ten random fault runs,
## the same each time; SEED takes others, RUNS changes how many.
browser: e2e
	cd $(E2E) && npm run --silent types && npm run --silent unit && SEED=$(or $(SEED),1) npm test --silent

e2e:
	@.ci/need postgresql-programs browser pdf node
	cd $(E2E) && npm ci --no-audit --no-fund --silent
	go build -o bin/witnessmark ./cmd/witnessmark

## bench: figures from one run, medians of five interleaved rounds; stops non-zero when one misses its bar.
bench:
	@.ci/need postgresql-programs node
	cd $(RIVALS) && npm ci --no-audit --no-fund --silent
	failed=; go run ./internal/bench || failed=1; go run ./internal/bench/marker || failed=1; (cd $(RIVALS) && go run .) || failed=1; [ -z "$$failed" ]

## bench-web: what a trainee's phone waits for and takes, in one run; stops non-zero when a median misses its bar.
bench-web: e2e
	cd $(E2E) && npm run --silent bench

## soak: kills the program and its PostgreSQL under load, CYCLES times each, then does RUNS random fault runs on a phone, new
## ones each time; SEED does earlier ones again. Last it tries all of the marker on the other processor.
soak: e2e
	@.ci/need postgresql-programs
	go test ./internal/faults -count=1 -timeout 0 -v -args -cycles $(or $(CYCLES),300) -seed $(or $(SEED),0)
	cd $(E2E) && RUNS=$(or $(RUNS),1000) SEED=$(SEED) npx playwright test phone-random
	$(MAKE) --no-print-directory arm64 SKIP=

## golden: writes the golden files afresh; read the difference before you commit it.
golden:
	go test $$(grep -rl --include='*_test.go' '"witnessmark/internal/golden"' internal | xargs -n1 dirname | sort -u | sed 's,^,./,') -update

build:
	CGO_ENABLED=0 go build -o bin/ ./cmd/...
