# SPDX-License-Identifier: GPL-3.0-or-later
#
# A thin front for meson and ninja. Each word sees to its own packages first (packages/need).
#
#   make             build the program into build/release
#   make run         one rescue on the demo event in short, then the crew page until Ctrl-C
#   make rescues     write docs/rescues.md again, from what the program says now
#   make test        everything that decides whether a change is good; ends "N passed, N failed"
#   make long        the same with full counts, and the fuzz targets; figures go to docs/figures.md
#   make bench       what is measured in seconds; never passes or fails (RECORD=1 keeps the figures)
#   make fuzz        each fuzz target under libFuzzer for SECONDS=300
#   make format      lay out every source as the lint wants it
#   make install     PREFIX=/usr/local, DESTDIR= for packagers
#   make clean

PREFIX ?= /usr/local
SECONDS ?= 300
.DEFAULT_GOAL := build
.PHONY: build run rescues test long bench fuzz format install clean need-run need-test need-long

need-run:
	@packages/need build/.packages-run run
	@packages/need --wish build/.packages-page page
	@web/fetch
need-test:
	@packages/need build/.packages-test run test page
	@web/fetch
need-long:
	@packages/need build/.packages-long run test page long
	@web/fetch

.NOTPARALLEL:

# Each build has its folder and its options; a folder set up half, or before its options changed,
# is set up again.
release_options = --buildtype=release -Doptimization=2
test_options = -Dtests=true -Dfuzz=true -Dwerror=true -Db_sanitize=address,undefined \
  -Db_lundef=false --buildtype=debugoptimized
tsan_options = -Db_sanitize=thread -Db_lundef=false --buildtype=debugoptimized
long_options = -Dtests=true --buildtype=release -Doptimization=2
bench_options = -Dbench=true --buildtype=release -Doptimization=2
fuzz_options = -Dfuzz=true -Dlibfuzzer=true -Db_sanitize=address,undefined -Db_lundef=false \
  --buildtype=debugoptimized

build/release/.set: | need-run
build/tsan/.set: | need-test
build/test/.set build/long/.set: | need-test
build/bench/.set: | need-long
build/fuzz/.set: | need-long
build/fuzz/.set: export CC = clang
build/%/.set: Makefile meson_options.txt
	@meson setup $(if $(wildcard build/$*/build.ninja),--reconfigure) build/$* $($*_options) >build/$*.log || \
	  { cat build/$*.log; exit 1; }
	@touch $@

build: build/release/.set
	@ninja -C build/release --quiet

run: build
	@sh demo/run --serve build/release

rescues: build
	@sh demo/rescues build/release >build/rescues.md && mv build/rescues.md docs/rescues.md
	@echo "docs/rescues.md is what the program says now; read it through before it is kept."

test: need-test build build/test/.set build/tsan/.set
	@ninja -C build/test --quiet
	@ninja -C build/tsan --quiet src/face/linewalk
	@LINEWALK_RELEASE=build/release tests/run build/test tests/lint/* tests/serve/threads

long: need-long build build/long/.set
	@ninja -C build/long --quiet
	@LINEWALK_LONG=1 LINEWALK_RELEASE=build/release tests/run --keep build/long/said build/long
	@tests/figures "make long" build/long/said
	@$(MAKE) --no-print-directory fuzz
	@tests/figures "make fuzz SECONDS=$(SECONDS)" build/fuzz/said

bench: need-long build/bench/.set
	@ninja -C build/bench --quiet
	@bench/run build/bench
	@$(if $(RECORD),tests/figures "make bench" build/bench/bench-said)

fuzz: need-long build/fuzz/.set
	@ninja -C build/fuzz --quiet $$(sed 's,.*/,fuzz/,' build/fuzz/fuzz/programs)
	@fuzz/run build/fuzz $(SECONDS)

format: need-test
	@tests/sources '*.[ch]' | xargs clang-format -i

install: build
	@meson configure build/release --prefix "$(abspath $(PREFIX))"
	@meson install -C build/release

clean:
	@rm -rf build
