# `make check` is all of CI. Each rule of ours that a grep can check is a target
# that prints its reason when it fails.

TOOL := go tool -modfile=tools/go.mod
# Files of ours: tracked text, without what others wrote.
TEXT := git ls-files -z -- ':!LICENSE' ':!*.sum' ':!**/testdata/fuzz/**'
# grep finds nothing: good. It finds something: print it with the reason.
REFUSE = if $(TEXT) $(2) | xargs -0 grep -InE $(1); then echo "$@: $(3)" >&2; exit 1; fi

.PHONY: check rules format vet staticcheck test race fuzz bench compare anyboard games reference slurm manifest \
	no-machine-paths no-leftovers no-compliance no-part-numbers no-replace tidy

check: rules format vet staticcheck race test

rules: no-machine-paths no-leftovers no-compliance no-part-numbers no-replace tidy

no-machine-paths:
	@$(call REFUSE,'(^|[^a-z0-9.])/(work|root|home|tmp)/[a-z]',,a path of one machine means nothing on another; in tests use t.TempDir)

no-leftovers:
	@$(call REFUSE,'\b(TO[D]O|FIX[M]E|XX[X]|HAC[K])\b',,finish it or write down what is missing where a user reads it)

no-compliance:
	@$(call REFUSE,'([Cc]omplie[s]|[Cc]omplian[t]|[Cc]ertifie[d]|[Cc]onform[s]) (with|to|by) (IEC|UL|EN|ISO|UN|IEEE|the standard)',,Cupel computes; it never claims compliance with a standard)

# Two letters and more followed by three digits and more look like the part
# number of a product. What is none is named: standards, chemistries, words.
NUMBERS_OK := (IEC|ISO|IEEE|JCGM|JESD|RFC|ANSI|ASTM|IPC|NMC|ILAC|CODATA|PMC|SPICE|SHA)
no-part-numbers:
	@if $(TEXT) 'internal/**.yaml' 'docs/**' '*.md' | xargs -0 grep -InwoE '[A-Z]{2,}[0-9]{3,}[A-Z0-9]*' | grep -vE ':$(NUMBERS_OK)[0-9]'; then \
	echo "$@: sheets and pages speak of classes (\"30 V N-FET, 4 mΩ class\"), never of a product" >&2; exit 1; fi

no-replace:
	@$(call REFUSE,'^[[:space:]]*replac[e]\b.*=>',go.mod tools/go.mod,a replaced module cannot be installed by go install)

tidy:
	@go mod tidy -diff 2>&1 | sed -n "/^diff current.go.mod/,/^diff current.go.sum/p" | grep -E "^[+-]" >&2; go mod tidy -diff >/dev/null 2>&1 || { echo "$@: go.mod lists what the code imports and nothing else; run go mod tidy" >&2; exit 1; }

format:
	@out=$$($(TOOL) gofumpt -l cmd internal) || exit 1; if [ -n "$$out" ]; then \
	echo "$$out"; echo "$@: one layout for all; run $(TOOL) gofumpt -w on them" >&2; exit 1; fi

vet:
	go vet ./...

staticcheck:
	$(TOOL) staticcheck ./...

test:
	go test -timeout 20m ./...

# The packages that start goroutines, and those that call them. The walk that computes
# ranges takes ten times its minute with the detector, and starts none that others do not.
RACE := ./internal/study/batch/... ./internal/desk/... ./internal/pages/...
race:
	@pkgs=$$(go list -e -f '{{if .GoFiles}}{{.ImportPath}}{{end}}' $(RACE) 2>/dev/null); \
	if [ -n "$$pkgs" ]; then echo go test -race $$pkgs; go test -timeout 20m -race -skip '^TestRangesWalk$$' $$pkgs; fi

# Every fuzz test for FUZZTIME each.
FUZZTIME ?= 10s
fuzz:
	@grep -rnoE '^func Fuzz[A-Za-z0-9_]+' --include='*_test.go' internal | while IFS=: read -r file line text; do \
	echo "$${text#func } in $$(dirname $$file)"; \
	go test -run '^$$' -fuzz "^$${text#func }\$$" -fuzztime $(FUZZTIME) ./$$(dirname $$file) </dev/null || exit 1; done

# Six runs of every benchmark, as benchstat wants them.
BENCH ?= .
bench:
	@mkdir -p bin
	go test -run '^$$' -bench '$(BENCH)' -benchmem -count 6 ./... | tee bin/bench.txt
	$(TOOL) benchstat bin/bench.txt

# The checks against the reference simulator alone; it must be installed. Then
# both programs' times over the same circuits, written into docs/compare.md.
compare:
	CUPEL_REQUIRE=all go test -count 1 -run 'Spice|Reference' ./internal/circuit/... ./internal/elaborate/...
	CUPEL_REQUIRE=all go test -count 1 -timeout 30m -run CompareSpeed -v ./internal/elaborate -compare

# Every trial on 300 made boards, and a trial or two on 3000 with one thing wrong.
# It takes long, stands back behind other work, keeps what came out in
# bin/anyboard, goes on from there when it was stopped, and writes
# docs/any-board.md. Remove bin/anyboard when the program has changed.
anyboard:
	@mkdir -p bin/anyboard
	CUPEL_ANYBOARD=$(CURDIR)/bin/anyboard CUPEL_BOARDS=300 CUPEL_MUTANTS=3000 \
		nice -n 19 go test -count 1 -timeout 48h -run 'AnyBoard$$|AnyMutant' ./internal/study; \
	ended=$$?; CUPEL_ANYBOARD=$(CURDIR)/bin/anyboard go test -count 1 -run AnyBoardPage ./internal/study && exit $$ended

# Rehearses the ring-out of 100 made boards and 20 changed ones, and writes
# docs/ringout-games.md.
games:
	CUPEL_GAMES=100 go test -count 1 -timeout 2h -run Games ./internal/ringout/rehearse

# Writes the committed reference tables anew from the reference simulator.
reference:
	CUPEL_REQUIRE=all go test -count 1 -run Reference ./internal/circuit/circuittest ./internal/elaborate -update

# A Slurm of one node, started for this alone: eight shards as an array, one lost
# and made again, merged and held against one run byte for byte.
slurm:
	./deploy/slurm/check.sh

# The Kubernetes manifest against the API's own types. Their module is downloaded.
manifest:
	cd tools/manifest && go run . ../../deploy/kubernetes/predict-job.yaml
