# Two commands do everything on a fresh machine, set-up included:
#   make demo   the main job on built-in data (needs Go, nothing else)
#   make test   everything that can be checked

GO   ?= go
BIN  := bin/shedlight
REF  := testdata/reference
# RtMidi speaks JACK when it is built so; on Linux ALSA stays beside it.
JACK := CGO_CXXFLAGS="-O2 -D__UNIX_JACK__" CGO_LDFLAGS=-ljack
# Debian packages that the tests with real MIDI need.
DEBS := libasound2-dev jackd2 libjack-jackd2-dev midicsv
# Random checks draw the same on every run, and fuzz targets take their seeds: what
# fails is of the change. make search draws what nobody has seen.
export RAPID_SEED ?= 1
export RAPID_NOFAILFILE ?= true
# For each random check, and for each fuzz target.
SEARCH_CHECKS ?= 5000
SEARCH_TIME   ?= 1m

.PHONY: demo test build jack vet unit replug clock starts evening alone nocgo freeze search reference bench latency setup reference-setup clean

# Its sound needs a C compiler and nothing else: live MIDI, which needs the
# system's headers, is left out.
demo: ## hear and see the built-in take
	@if command -v "$$($(GO) env CC | cut -d ' ' -f 1)" >/dev/null; then \
	  CGO_ENABLED=1 $(GO) build -tags nomidi -o $(BIN)-demo ./cmd/shedlight && ./$(BIN)-demo demo; \
	else \
	  echo "silent: no C compiler"; \
	  CGO_ENABLED=0 $(GO) build -o $(BIN)-demo ./cmd/shedlight && ./$(BIN)-demo demo --sound off; \
	fi

build: ## the program for a player: with the system's own MIDI
	$(GO) build -o $(BIN) ./cmd/shedlight

jack: setup ## the program with JACK beside ALSA
	$(JACK) $(GO) build -o $(BIN) ./cmd/shedlight

# Real MIDI waits more than it works, but for a clock: one core is left to it.
test: setup reference-setup vet ## everything; real MIDI, and beside it one thing after the other on one core
	@$(MAKE) --no-print-directory -j2 -Oline unit alone
	@$(MAKE) --no-print-directory reference

vet:
	@unformatted=$$(gofmt -l analyse cmd display listen); \
	  if [ -n "$$unformatted" ]; then echo "not gofmt-clean: $$unformatted"; exit 1; fi
	$(JACK) $(GO) vet -tags jack ./...
	CGO_ENABLED=1 $(GO) vet -tags nomidi ./... # as the demo is built
	GOOS=darwin CGO_ENABLED=0 $(GO) vet ./...
	GOOS=windows CGO_ENABLED=0 $(GO) vet ./...

alone: # what needs no clock
	@GOMAXPROCS=1 $(MAKE) --no-print-directory nocgo
	@GOMAXPROCS=1 $(MAKE) --no-print-directory freeze

nocgo: ## all but real MIDI and sound, as it builds without a C compiler
	SHEDLIGHT_REFERENCE=1 CGO_ENABLED=0 RAPID_CHECKS=1000 $(GO) test -skip SaysTheSame $$($(GO) list ./... | grep -v '/analyse$$')
	SHEDLIGHT_REFERENCE=1 CGO_ENABLED=0 RAPID_CHECKS=100 $(GO) test ./analyse # whole takes, judged twice

freeze: ## every word that the program says, against what it said before
	CGO_ENABLED=0 $(GO) test -run SaysTheSame ./cmd/shedlight

unit: ## what needs C: the live port, the sound and the whole program over JACK; one at a time, for the clock's sake
	@tests=$$(grep -rlE '^//go:build (jack|cgo)' --include='*_test.go' listen cmd | xargs grep -hoE '^func Test[A-Za-z0-9]+' | sed 's/func //' | paste -sd'|'); \
	  $(JACK) $(GO) test -p 1 -tags jack -run "^($$tests)$$" ./listen ./listen/sound ./cmd/shedlight
	$(JACK) $(GO) test -tags jack ./listen/internal/...

replug: setup ## an instrument that goes and comes back over JACK, 50 times each way
	SHEDLIGHT_FULL=1 $(JACK) $(GO) test -tags jack -timeout 60m -v -run 'TestJACK(Replug|CablePulled|LateClient)' ./listen

search: ## random inputs, other ones each time: half an hour; what fails says how to run it again
	@tests=$$(grep -rl 'rapid\.Check(' --include='*_test.go' analyse display listen cmd | xargs awk '/^func Test/ { split($$2, name, "(") } /rapid\.Check\(/ { print name[1] }' | sort -u | paste -sd'|'); \
	  CGO_ENABLED=0 RAPID_SEED=0 RAPID_CHECKS=$(SEARCH_CHECKS) $(GO) test -count 1 -timeout 2h -run "^($$tests)$$" ./...
	@set -e; grep -rlE '^func Fuzz' --include='*_test.go' analyse display listen cmd | xargs -n1 dirname | sort -u | while read -r dir; do \
	  for target in $$(grep -rhoE '^func Fuzz[A-Za-z0-9]+' $$dir/*_test.go | sed 's/func //'); do \
	    echo "fuzz $$dir $$target"; \
	    CGO_ENABLED=0 $(GO) test ./$$dir -run '^$$' -fuzz "^$$target\$$" -fuzztime $(SEARCH_TIME); \
	  done; done

reference: ## the reference tables are what the libraries say today
	cd $(REF) && npm run --silent check

bench: ## the measured figures of DEVELOPERS.md
	CGO_ENABLED=0 $(GO) test -run '^$$' -bench . -benchmem ./analyse/... ./display/... ./listen/smf/... ./listen/take/... ./listen/beat/... ./listen/sound/...
	cd $(REF) && npm run --silent bench

latency: setup ## over JACK: from the driver's callback to the screen, and the click against its due time
	$(JACK) $(GO) test -p 1 -tags jack -run '^$$' -bench 'Latency|Click' -benchtime 1x -v ./listen/sound ./cmd/shedlight

clock: setup ## four sequencers followed over JACK, two minutes each
	SHEDLIGHT_FULL=1 $(JACK) $(GO) test -tags jack -v -run SequencersAreFollowedFor ./cmd/shedlight

starts: setup ## the sound started and stopped over JACK, 2,000 times: twenty minutes
	SHEDLIGHT_FULL=1 $(JACK) $(GO) test -tags jack -timeout 60m -v -run StartsAndStops ./listen/sound

MINUTES := 3
evening: setup ## over JACK with everything on at once, for so many MINUTES: click, screen, memory, descriptors as it goes
	SHEDLIGHT_MINUTES=$(MINUTES) $(JACK) $(GO) test -tags jack -timeout 6h -run '^$$' -bench Evening -benchtime 1x -v ./cmd/shedlight

setup:
	@missing=""; for p in $(DEBS); do dpkg -s $$p >/dev/null 2>&1 || missing="$$missing $$p"; done; \
	  if [ -n "$$missing" ]; then \
	    if [ "$$(id -u)" = 0 ]; then sudo=; else sudo=sudo; fi; \
	    echo "installing$$missing"; \
	    $$sudo apt-get update -qq && DEBIAN_FRONTEND=noninteractive $$sudo apt-get install -y -qq --no-install-recommends $$missing >/dev/null; \
	  fi

reference-setup:
	cd $(REF) && npm run --silent setup

clean:
	rm -rf bin $(REF)/node_modules
