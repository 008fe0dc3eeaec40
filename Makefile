# studbay: a compiler for plain-text electrical rough-in plans
#
#   make                 builds $(BUILD)/studbay
#   make demo            the main job on a small studio: checks it and writes every report
#   make check           builds and runs all tests; SAN=1 under the address and undefined-behaviour sanitizers
#   make check TIER=fast           those that take half a minute together
#   make check TESTS='fmt pack*'   those of these names
#   make check BROWSER=must         where the job books cannot be opened in a browser it fails; EDITORS=must: so for editors
#   make editors         the folders for editors, in $(BUILD)/editors; make vsix packs that of VS Code, with npm: $(BUILD)/studbay.vsix
#   make lib             the compiler as a library for C, static and shared: $(BUILD)/libstudbay.a, $(BUILD)/libstudbay.so
#   make check TSAN=1 TESTS=threads    that several threads can use it, under the thread sanitizer
#   make dist            the sources of the last commit, always the same bytes: $(BUILD)/studbay-VERSION.tar.gz
#   make install         DESTDIR= PREFIX=/usr/local
#   make deps            installs what the build and the tests miss (demo and check do so by themselves)
#   make fuzz            FUZZ_SECONDS=60 for each fuzzer; with clang
#   make soak            SOAK_SECONDS=60 SOAK_SEED=1: what is promised of every plan, on plans made at random; SOAK_EDITS=1000000
#                        typed into the language server
#   make faults          everything that may fail, at each call of every command: an hour; check and soak try a part of it
#   make memcheck        the unit tests under valgrind
#   make format          lays the C sources out; format-check says whether they are
#   make docs            draws the pictures of the documentation anew
#   make bench  clean

BUILD   ?= build
PREFIX  ?= /usr/local
LIBDIR  ?= $(PREFIX)/lib
DESTDIR ?=
CC      ?= cc
FUZZ_CC ?= clang

CFLAGS   ?= -std=gnu11 -O2 -g -Wall -Wextra -Werror
CPPFLAGS ?=
LDFLAGS  ?=
FUZZ_SECONDS ?= 60

# --- variants: each has a build folder of its own ----------------------------------------------------------------

SAN  ?=
FUZZ ?=
TSAN ?=

ifneq ($(FUZZ),)
OUT         := $(BUILD)-fuzz
override CC := $(FUZZ_CC)
# clang asks for every field also where the first ones stand in braces of their own; gcc holds to the rest of -Wextra
EXTRA       := -Wno-missing-field-initializers -O1 -fno-omit-frame-pointer -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=undefined
EXTRA_LINK  := -fsanitize=address,undefined
else ifneq ($(TSAN),)
OUT         := $(BUILD)-tsan
EXTRA       := -Wno-error -O1 -fno-omit-frame-pointer -fsanitize=thread
EXTRA_LINK  := -fsanitize=thread
else ifneq ($(SAN),)
OUT         := $(BUILD)-san
# gcc warns of things that cannot be once the sanitizers' code is in; the plain build holds to -Werror
EXTRA       := -Wno-error -O1 -fno-omit-frame-pointer -fsanitize=address,undefined -fno-sanitize-recover=undefined
EXTRA_LINK  := -fsanitize=address,undefined
else
OUT         := $(BUILD)
EXTRA       := -fstack-protector-strong
EXTRA_LINK  := -Wl,-z,relro,-z,now
endif

GEN     := $(OUT)/gen
# All is position-independent, so that the same objects make the binary and the library of the tests. The binary is as
# fast as without: a call inside a file is bound in that file.
PIC     := -fPIC -fno-semantic-interposition
# The two faces of the drawings, which are built in.
FONTS_FROM ?= /usr/share/fonts/truetype/liberation
FACES     := $(FONTS_FROM)/LiberationSans-Regular.ttf $(FONTS_FROM)/LiberationSans-Bold.ttf
FACE_FLAGS = -DFONT_REGULAR='"$(word 1,$(FACES))"' -DFONT_BOLD='"$(word 2,$(FACES))"'
COMPILE  = $(CC) -Isrc -I$(GEN) -Igrammar $(CPPFLAGS) $(CFLAGS) $(EXTRA) $(PIC) -MMD -MP
LINK     = $(CC) $(CFLAGS) $(EXTRA) $(LDFLAGS) $(EXTRA_LINK)
LIBS    := -lhpdf -lqrencode -ljansson -lfribidi -lm

# Test programs are compiled faster with -Og, and gold, where it is there, links their debug information faster.
TEST_COMPILE = $(COMPILE) -Og -Itests/unit -Itests/plans -Itests/properties -Itests/faults
TEST_LINK   := $(LINK) $(if $(shell command -v ld.gold),-fuse-ld=gold)

# --- what there is -----------------------------------------------------------------------------------------------

SOURCES     := $(sort $(shell find src -name '*.c'))
GENERATED   := $(GEN)/lexer.c $(GEN)/parser.c $(GEN)/stdlib.c $(GEN)/rule_pages.c $(GEN)/book_face.c $(GEN)/new_plans.c $(GEN)/rule_list.c
OBJECTS     := $(SOURCES:src/%.c=$(OUT)/obj/%.o) $(GENERATED:$(GEN)/%.c=$(OUT)/obj/gen/%.o)
LIB_OBJECTS := $(filter-out $(OUT)/obj/main.o,$(OBJECTS))
TEST_LIB    := $(OUT)/libstudbay-test.so
LIBRARY     := $(sort $(shell find stdlib -name '*.bay' 2>/dev/null))
# Of what a library for others is made: without commands and without what serves editors.
PUBLIC      := $(filter-out $(foreach d,cmd compare lsp propose where,$(OUT)/obj/$(d)/%) $(OUT)/obj/gen/new_plans.o,$(LIB_OBJECTS))
PUBLIC_LIBS := $(filter-out -ljansson,$(LIBS))
VERSION     := $(shell sed -n 's/^.define STUDBAY_VERSION "\(.*\)"/\1/p' src/libstudbay/handle.h)
SONAME      := libstudbay.so.0
EXPORTS     := src/libstudbay/studbay.map
BOOK_FACE   := $(sort $(wildcard src/book/face/*))
NEW_PLANS   := $(sort $(wildcard src/cmd/new/*))
RULE_PAGES  := $(sort $(shell find docs/rules -name '*.md' 2>/dev/null))

# linear_test counts steps, which the sanitizers' own calls would be, faults_test lays a library before the C library, as they do,
# library_abi_test looks at the library as it is installed: these are never sanitized, and so run in the plain build alone.
NOT_SANITIZED := linear place_steps faults library_abi

# What is chosen of the test programs, by the names of their sources without _test.c: those that TESTS names, else those of
# the tier. SLOW are those that take longest; the others take less than half a minute together on two processors.
TESTS ?=
BROWSER ?=
EDITORS ?=
TIER  ?= all
SLOW  := acceptance agree definitions demand library linear mutate same_bytes slips soak spacing spice walk
test_source = $(wildcard tests/unit/$(1)_test.c tests/arch/$(1)_test.c)
TIER_all   := $(call test_source,*)
TIER_fast  := $(filter-out $(foreach t,$(SLOW),$(call test_source,$(t))),$(TIER_all))
UNIT_NAMED := $(foreach t,$(TESTS),$(or $(call test_source,$(t)),$(error no test program is called $(t)_test)))
UNIT_TIER  := $(or $(TIER_$(TIER)),$(error the tiers of the tests are: all, fast))
UNIT_CHOSEN  := $(sort $(if $(TESTS),$(UNIT_NAMED),$(UNIT_TIER)))
UNIT_SOURCES := $(filter-out $(if $(SAN)$(TSAN),$(foreach t,$(NOT_SANITIZED),$(call test_source,$(t)))),$(UNIT_CHOSEN))
UNIT_TESTS   := $(UNIT_SOURCES:%.c=$(OUT)/%)
UNIT_OBJECTS := $(UNIT_TESTS:=.o)
BENCH        := $(OUT)/tests/bench/bench
# The generator of plans and what is asked of them, for any test program.
PLANS_SOURCES := $(sort $(wildcard tests/plans/*.c tests/properties/*.c))
PLANS_OBJECTS := $(PLANS_SOURCES:%.c=$(OUT)/%.o)
PLANS_LIB     := $(OUT)/tests/libplans.a
# What the compiler makes of each word, for the tests of the editors' colours.
TOKENS       := $(OUT)/tests/editors/tokens
FUZZ_SOURCES := $(sort $(wildcard tests/fuzz/*.c))
FUZZERS      := $(FUZZ_SOURCES:tests/fuzz/%.c=$(OUT)/fuzz/%)
FUZZ_SEEDS   := $(wildcard tests/fuzz/seeds examples stdlib)

comma := ,

# Two jobs at once where the caller has not said how many; expanded in recipes only, where MAKEFLAGS is complete.
JOBS   = $(if $(findstring jobserver,$(MAKEFLAGS)),,-j2)
SUBMAKE = +@$(MAKE) --no-print-directory $(JOBS)

.PHONY: all lib dist editors vsix deps demo demo-now check check-now check-programs fuzz fuzz-now soak faults bench memcheck memcheck-now format format-check install docs clean FORCE
.DELETE_ON_ERROR:

all: $(OUT)/studbay $(OUT)/man/studbay.1

# --- building ----------------------------------------------------------------------------------------------------

$(OUT)/studbay: $(OBJECTS) $(OUT)/objects
	$(LINK) -o $@ $(OBJECTS) $(LIBS)

# All but main, for the test programs: none of them is linked again when a source changes. A name that is missing is
# told here, not by the first test that calls it.
$(TEST_LIB): $(LIB_OBJECTS) $(OUT)/objects
	$(TEST_LINK) -shared -Wl,-soname,$(@F) $(if $(SAN)$(TSAN),,-Wl,-z,defs) -o $@ $(LIB_OBJECTS) $(LIBS)

# --- the library for others ----------------------------------------------------------------------------------------

# Nothing but what the header has is seen from outside, in the one file by the version script, in the other by making
# all else local to it; so the objects can be those of the binary.
lib: $(OUT)/libstudbay.so $(OUT)/libstudbay.a $(OUT)/libstudbay.pc

$(OUT)/libstudbay.so: $(PUBLIC) $(OUT)/objects $(EXPORTS)
	@$(LINK) -shared -Wl,-soname,$(SONAME) -Wl,--version-script=$(EXPORTS) $(if $(SAN)$(TSAN),,-Wl,-z,defs) \
	    -o $@ $(PUBLIC) $(PUBLIC_LIBS)
	@ln -sf $(@F) $(OUT)/$(SONAME)

$(OUT)/libstudbay.a: $(PUBLIC) $(OUT)/objects $(EXPORTS)
	@sed -n 's/^ *\(studbay_[a-z_]*\);$$/\1/p' $(EXPORTS) >$(OUT)/exports
	@$(CC) -r -nostdlib -o $(OUT)/libstudbay.o $(PUBLIC)
	@objcopy --keep-global-symbols=$(OUT)/exports $(OUT)/libstudbay.o
	@rm -f $@
	@$(AR) rcs $@ $(OUT)/libstudbay.o

$(OUT)/libstudbay.pc: src/libstudbay/studbay.pc.in FORCE
	@sed 's|@PREFIX@|$(PREFIX)|; s|@LIBDIR@|$(LIBDIR)|; s|@VERSION@|$(VERSION)|; s|@LIBS@|$(PUBLIC_LIBS)|' $< >$@

# Said once before the first compilation, so that a missing tool has a message of its own.
$(OUT)/tools: | $(OUT)
	@CC='$(CC)' sh .ci/need --tell build
	@touch $@

$(OUT) $(GEN):
	@mkdir -p $@

# What was written is the file, unless that is the same already.
keep_same = @if cmp -s $@.new $@; then rm $@.new; else mv $@.new $@; fi

# How things are built: all is made again when a flag changes.
quoted = '$(subst ','\'',$(strip $(1)))'
$(OUT)/settings: FORCE | $(OUT)
	@printf '%s\n' $(call quoted,$(COMPILE)) $(call quoted,$(LINK)) $(call quoted,$(TEST_COMPILE)) $(call quoted,$(TEST_LINK)) \
	    $(call quoted,$(COUNT_COMPILE)) >$@.new
	$(keep_same)

# Which files there are: what is linked of them is linked again when one comes or goes.
$(OUT)/objects: FORCE | $(OUT)
	@printf '%s\n' $(OBJECTS) $(PLANS_OBJECTS) >$@.new
	$(keep_same)

$(OUT)/studbay $(OUT)/libstudbay.so $(OUT)/libstudbay.a $(TEST_LIB) $(OBJECTS) $(UNIT_TESTS) $(UNIT_OBJECTS) $(PLANS_OBJECTS) $(BENCH) $(BENCH).o $(FUZZERS) $(TOKENS) $(TOKENS).o: $(OUT)/settings

# parser.h must be there before any source that may include it is compiled; after that, .d files know who does.
$(OBJECTS) $(UNIT_OBJECTS) $(PLANS_OBJECTS) $(BENCH).o $(TOKENS).o: | $(GEN)/parser.h

$(OUT)/obj/paper/font_data.o $(OUT)/counted/paper/font_data.o: $(FACES)
$(OUT)/obj/paper/font_data.o: COMPILE += $(FACE_FLAGS)
$(OUT)/counted/paper/font_data.o: COUNT_COMPILE += $(FACE_FLAGS)

$(OUT)/obj/%.o: src/%.c
	@mkdir -p $(@D)
	$(COMPILE) -c -o $@ $<

$(OUT)/obj/gen/%.o: $(GEN)/%.c
	@mkdir -p $(@D)
	$(COMPILE) -c -o $@ $<

$(GEN)/lexer.c: grammar/lexer.re | $(GEN) $(OUT)/tools
	re2c -W --case-ranges -o $@ $<

$(GEN)/parser.c: grammar/parser.y | $(GEN) $(OUT)/tools
	bison -Wall -Werror --header=$(GEN)/parser.h -o $@ $<

$(GEN)/parser.h: $(GEN)/parser.c
	@touch $@

# Folders become C arrays; the list of files stands in for the files that are gone.
$(GEN)/%.list: FORCE | $(GEN)
	@printf '%s\n' $(EMBEDDED) >$@.new
	$(keep_same)

$(GEN)/stdlib.list: EMBEDDED := $(LIBRARY)
$(GEN)/rule_pages.list: EMBEDDED := $(RULE_PAGES)
$(GEN)/book_face.list: EMBEDDED := $(BOOK_FACE)
$(GEN)/new_plans.list: EMBEDDED := $(NEW_PLANS)

$(GEN)/stdlib.c: $(GEN)/stdlib.list $(LIBRARY) src/resolve/embed.sh
	sh src/resolve/embed.sh embedded_stdlib embedded_stdlib_count stdlib .bay >$@

$(GEN)/rule_pages.c: $(GEN)/rule_pages.list $(RULE_PAGES) src/resolve/embed.sh
	sh src/resolve/embed.sh embedded_rule_pages embedded_rule_page_count docs/rules .md >$@

$(GEN)/book_face.c: $(GEN)/book_face.list $(BOOK_FACE) src/resolve/embed.sh
	sh src/resolve/embed.sh embedded_book_face embedded_book_face_count src/book/face s >$@

$(GEN)/new_plans.c: $(GEN)/new_plans.list $(NEW_PLANS) src/resolve/embed.sh
	sh src/resolve/embed.sh embedded_new embedded_new_count src/cmd/new '' >$@

# The list of all rules, from the sources; made again where it differs.
$(GEN)/rule_list.c: FORCE src/diag/list_rules.sh | $(GEN)
	@sh src/diag/list_rules.sh src >$@.new
	@if cmp -s $@.new $@; then rm $@.new; else mv $@.new $@; fi

deps:
	@CC='$(CC)' sh .ci/need check

# --- tests -------------------------------------------------------------------------------------------------------

check:
	@CC='$(CC)' sh .ci/need check
	$(SUBMAKE) check-programs
	$(SUBMAKE) check-now

check-programs: $(OUT)/studbay $(TEST_LIB) $(UNIT_TESTS) $(if $(filter %/library_abi_test,$(UNIT_TESTS)),lib) $(if $(TESTS)$(SAN),,$(TOKENS))

check-now: check-programs
	@status=0; \
	export STUDBAY='$(abspath $(OUT)/studbay)' EDITORS='$(EDITORS)' UBSAN_OPTIONS=print_stacktrace=1; \
	sh tests/tools/run_units.sh $(UNIT_TESTS) || status=1; \
	$(if $(TESTS)$(SAN)$(filter-out all,$(TIER)),,BROWSER='$(BROWSER)' sh tests/browser/run.sh || status=1; \
	    TOKENS='$(TOKENS)' sh tests/editors/run.sh || status=1;) \
	if [ $$status -ne 0 ]; then echo 'check: FAILED'; else echo 'check: passed'; fi; \
	exit $$status

$(OUT)/tests/%.o: tests/%.c
	@mkdir -p $(@D)
	$(TEST_COMPILE) -c -o $@ $<

$(PLANS_LIB): $(PLANS_OBJECTS) $(OUT)/objects
	@rm -f $@
	$(AR) rcs $@ $(PLANS_OBJECTS)

# The library is looked for at run time, beside the folder of the tests.
$(OUT)/tests/%: $(OUT)/tests/%.o $(PLANS_LIB) | $(TEST_LIB)
	$(TEST_LINK) -o $@ $< $(EXTRA_OBJECTS) $(PLANS_LIB) $(TEST_LIB) -Wl,-rpath,'$$ORIGIN/../..' -lcmocka $(LIBS)

# faults_test: what traces the program, and the library that is laid before its own.
FAIL_LIB := $(OUT)/tests/faults/fail.so
$(OUT)/tests/faults/trace.o: $(OUT)/settings
$(FAIL_LIB): tests/faults/fail.c tests/faults/fail.h $(OUT)/settings
	@mkdir -p $(@D)
	$(TEST_COMPILE) -fno-builtin -shared -o $@ $< -ldl

$(OUT)/tests/unit/faults_test: $(OUT)/tests/faults/trace.o | $(FAIL_LIB)
$(OUT)/tests/unit/faults_test: EXTRA_OBJECTS := $(OUT)/tests/faults/trace.o

$(BENCH): $(BENCH).o $(PLANS_LIB) $(LIB_OBJECTS) $(OUT)/objects
	$(LINK) -o $@ $< $(PLANS_LIB) $(LIB_OBJECTS) $(LIBS)

# memory_test makes allocations fail: what takes memory is linked into it, with its calls wrapped.
MEMORY_OBJECTS := $(OUT)/obj/base/memory.o $(OUT)/obj/base/arena.o $(OUT)/obj/base/buf.o
$(OUT)/tests/unit/memory_test: $(OUT)/tests/unit/memory_test.o $(MEMORY_OBJECTS) | $(TEST_LIB)
	$(TEST_LINK) $(addprefix -Wl$(comma)--wrap=,calloc realloc mmap) -o $@ $< $(MEMORY_OBJECTS) $(TEST_LIB) \
	    -Wl,-rpath,'$$ORIGIN/../..' -lcmocka $(LIBS)

# --- counted steps -----------------------------------------------------------------------------------------------

# The library once more for linear_test and place_steps_test, which count its steps (tests/unit/steps.h): without optimisation, so that what is
# counted is the source.
COUNT_COMPILE    = $(CC) -Isrc -I$(GEN) -Igrammar $(CPPFLAGS) -std=gnu11 -O0 -g1 -fno-builtin -fsanitize-coverage=trace-pc -MMD -MP
COUNTED_DATA    := $(OUT)/obj/gen/stdlib.o $(OUT)/obj/gen/rule_pages.o
COUNTED_OBJECTS := $(patsubst $(OUT)/obj/%,$(OUT)/counted/%,$(filter-out $(COUNTED_DATA),$(LIB_OBJECTS)))
OVER_BYTES      := memcpy memmove memset memchr memcmp strlen strcmp strncmp strchr strrchr strstr strspn strcspn realloc vsnprintf

$(COUNTED_OBJECTS): $(OUT)/settings | $(GEN)/parser.h

$(OUT)/counted/%.o: src/%.c
	@mkdir -p $(@D)
	$(COUNT_COMPILE) -c -o $@ $<

$(OUT)/counted/gen/%.o: $(GEN)/%.c
	@mkdir -p $(@D)
	$(COUNT_COMPILE) -c -o $@ $<

$(OUT)/tests/unit/linear_test.o: TEST_COMPILE += -O2
$(OUT)/tests/unit/linear_test: $(OUT)/tests/unit/linear_test.o $(COUNTED_OBJECTS) $(COUNTED_DATA) $(OUT)/objects
	$(TEST_LINK) $(OVER_BYTES:%=-Wl,--wrap=%) -o $@ $< $(COUNTED_OBJECTS) $(COUNTED_DATA) -lcmocka $(LIBS)

PLACE_COUNTED := $(filter $(addprefix $(OUT)/counted/,base/% paper/%),$(COUNTED_OBJECTS))
$(OUT)/tests/unit/place_steps_test: $(OUT)/tests/unit/place_steps_test.o $(PLACE_COUNTED) $(OUT)/objects
	$(TEST_LINK) $(OVER_BYTES:%=-Wl,--wrap=%) -o $@ $< $(PLACE_COUNTED) -lcmocka $(LIBS)

-include $(COUNTED_OBJECTS:.o=.d)

# What is promised of every plan, asked of plans made at random for as long as one likes, in two processes.
SOAK_SECONDS ?= 60
SOAK_SEED    ?= 1
SOAK_EDITS   ?= 1000000

soak:
	@CC='$(CC)' sh .ci/need check
	$(SUBMAKE) $(OUT)/studbay $(TEST_LIB) $(OUT)/tests/unit/soak_test $(OUT)/tests/unit/lsp_edits_test
	@export STUDBAY='$(abspath $(OUT)/studbay)'; status=0; \
	$(OUT)/tests/unit/soak_test --seconds $(SOAK_SECONDS) --seed $(SOAK_SEED) --step 2 --keep $(OUT)/soak & \
	$(OUT)/tests/unit/soak_test --seconds $(SOAK_SECONDS) --seed $$(($(SOAK_SEED) + 1)) --step 2 --keep $(OUT)/soak || status=1; \
	wait $$! || status=1; \
	$(OUT)/tests/unit/lsp_edits_test --edits $(SOAK_EDITS) $(SOAK_SEED) || status=1; \
	exit $$status

# All of tests/faults, and 32 who write fifty lines each to one log.
faults:
	@CC='$(CC)' sh .ci/need check
	$(SUBMAKE) $(OUT)/studbay $(TEST_LIB) $(OUT)/tests/unit/faults_test $(OUT)/tests/unit/crowd_test
	@export STUDBAY='$(abspath $(OUT)/studbay)'; status=0; \
	$(OUT)/tests/unit/crowd_test --all || status=1; \
	$(OUT)/tests/unit/faults_test --all || status=1; \
	exit $$status

memcheck:
	@CC='$(CC)' sh .ci/need memcheck
	$(SUBMAKE) check-programs
	@STUDBAY='$(abspath $(OUT)/studbay)' TEST_SECONDS=1200 \
	RUN_WITH='valgrind --quiet --error-exitcode=9 --leak-check=full --trace-children=no' \
	sh tests/tools/run_units.sh $(UNIT_TESTS)

# BASE=OTHER_STUDBAY prints another binary's figures beside ours.
bench: all $(BENCH)
	@STUDBAY='$(abspath $(OUT)/studbay)' BENCH='$(abspath $(BENCH))' BASE='$(BASE)' tests/bench/run

# --- fuzzing -----------------------------------------------------------------------------------------------------

fuzz:
	@FUZZ_CC='$(FUZZ_CC)' sh .ci/need fuzz
	$(SUBMAKE) FUZZ=1 fuzz-now

# Each fuzzer is a job of its own; what it finds of use goes to its corpus, a crash beside it.
fuzz-now: $(FUZZERS:%=%.run)
	@if [ -z '$(FUZZERS)' ]; then echo 'fuzz: there is no fuzzer in tests/fuzz'; exit 1; fi

$(OUT)/fuzz/%.run: $(OUT)/fuzz/% FORCE
	@mkdir -p $(OUT)/corpus/$*
	UBSAN_OPTIONS=print_stacktrace=1 $< -max_total_time=$(FUZZ_SECONDS) -timeout=10 -rss_limit_mb=2048 -max_len=16384 \
	    -verbosity=1 -print_final_stats=1 -artifact_prefix=$(OUT)/fuzz/$*- \
	    $(addprefix -dict=,$(wildcard tests/fuzz/$*.dict)) $(OUT)/corpus/$* $(FUZZ_SEEDS)

$(OUT)/fuzz/%: tests/fuzz/%.c $(LIB_OBJECTS) $(OUT)/objects
	@mkdir -p $(@D)
	$(COMPILE) -MT $@ -c -o $@.o $<
	$(LINK) -fsanitize=fuzzer -o $@ $@.o $(LIB_OBJECTS) $(LIBS)

# --- the demo ----------------------------------------------------------------------------------------------------

DEMO_PLAN    := examples/studio/studio.bay
DEMO_REPORTS := boxes panel fill legs runs drop cuts materials
DEMO         := $(OUT)/demo

demo:
	@CC='$(CC)' sh .ci/need demo
	$(SUBMAKE) all
	$(SUBMAKE) demo-now

# The summary of the check, then two reports in full; the rest goes to files.
demo-now: all
	@set -e; mkdir -p $(DEMO); \
	echo; echo '$$ studbay check $(DEMO_PLAN)'; \
	$(OUT)/studbay check $(DEMO_PLAN); \
	for report in $(DEMO_REPORTS); do \
	    $(OUT)/studbay report $$report $(DEMO_PLAN) >$(DEMO)/$$report.txt; \
	done; \
	$(OUT)/studbay draw circuits $(DEMO_PLAN) -o $(DEMO)/circuits.pdf; \
	for report in fill cuts; do \
	    echo; echo "\$$ studbay report $$report $(DEMO_PLAN)"; \
	    cat $(DEMO)/$$report.txt; \
	done; \
	echo; echo 'In $(DEMO):'; ls $(DEMO)

# --- the rest ----------------------------------------------------------------------------------------------------

# install_tree FOLDER,DESTINATION,TESTS OF find: copies the files of a folder, whatever their modes here
define install_tree
	@if [ -d $(1) ]; then \
	    (cd $(1) && find . -type f $(3)) | sort | while IFS= read -r file; do \
	        install -D -m 644 "$(1)/$$file" "$(DESTDIR)$(PREFIX)/$(2)/$$file" || exit 1; \
	    done; \
	fi
endef

# The man pages, from the tables of commands, options and forms; what shells complete, from the same.
$(OUT)/man/studbay.1: src/cmd/man.sh src/cmd/fields.awk $(OUT)/studbay
	sh src/cmd/man.sh $(OUT)/studbay $(@D)

$(OUT)/completions/%: src/cmd/completions.sh src/cmd/fields.awk $(OUT)/studbay
	@mkdir -p $(@D)
	sh src/cmd/completions.sh $(OUT)/studbay $* >$@.new
	@mv $@.new $@

# The folders for editors, with what the language has now.
editors: all
	sh src/editors/make.sh $(OUT)/studbay $(OUT)/editors

# What VS Code installs from a file. The packer is fetched by npm.
VSCE := @vscode/vsce@3.6.0
vsix: editors
	rm -rf $(OUT)/vsix && cp -r $(OUT)/editors/vscode $(OUT)/vsix && cp LICENSE $(OUT)/vsix
	cd $(OUT)/vsix && npm install --no-audit --no-fund --silent && \
	    npx --yes $(VSCE) package --allow-missing-repository --out ../studbay.vsix

# git gives every file the time of the commit, and gzip writes neither a name nor a time.
dist: | $(OUT)
	git archive --format=tar --prefix=studbay-$(VERSION)/ HEAD | gzip -9n >$(OUT)/studbay-$(VERSION).tar.gz

install: all lib editors $(addprefix $(OUT)/completions/,bash zsh fish)
	install -D -m 755 $(OUT)/studbay $(DESTDIR)$(PREFIX)/bin/studbay
	install -D -m 644 $(OUT)/libstudbay.so $(DESTDIR)$(LIBDIR)/libstudbay.so.$(VERSION)
	ln -sf libstudbay.so.$(VERSION) $(DESTDIR)$(LIBDIR)/$(SONAME)
	ln -sf $(SONAME) $(DESTDIR)$(LIBDIR)/libstudbay.so
	install -D -m 644 $(OUT)/libstudbay.a $(DESTDIR)$(LIBDIR)/libstudbay.a
	install -D -m 644 src/libstudbay/studbay.h $(DESTDIR)$(PREFIX)/include/studbay.h
	install -D -m 644 $(OUT)/libstudbay.pc $(DESTDIR)$(LIBDIR)/pkgconfig/libstudbay.pc
	$(call install_tree,stdlib,share/studbay/stdlib,-name '*.bay')
	$(call install_tree,examples,share/doc/studbay/examples)
	$(call install_tree,docs,share/doc/studbay)
	$(call install_tree,$(OUT)/editors,share/studbay/editors)
	$(call install_tree,$(OUT)/man,share/man/man1,-name '*.1')
	$(call install_tree,$(OUT)/man,share/man/man5,-name '*.5')
	install -D -m 644 $(OUT)/completions/bash $(DESTDIR)$(PREFIX)/share/bash-completion/completions/studbay
	install -D -m 644 $(OUT)/completions/zsh $(DESTDIR)$(PREFIX)/share/zsh/site-functions/_studbay
	install -D -m 644 $(OUT)/completions/fish $(DESTDIR)$(PREFIX)/share/fish/vendor_completions.d/studbay.fish
	install -m 644 LICENSE $(DESTDIR)$(PREFIX)/share/doc/studbay/LICENSE

# The gallery's sheets, and its pictures of the phone's page where Chromium is there.
docs: all
	@STUDBAY='$(abspath $(OUT)/studbay)' sh tests/tools/pictures.sh --write

# Version 14, that of Debian 12: others lay out some lines otherwise. It takes more than one pass until nothing changes.
CLANG_FORMAT ?= clang-format-14
FORMATTED     = $(shell find src tests -name '*.[ch]')
FORMAT_CHECK  = $(CLANG_FORMAT) --dry-run -Werror $(FORMATTED)

format:
	@CLANG_FORMAT='$(CLANG_FORMAT)' sh .ci/need format
	@for pass in 1 2 3 4 5; do \
	    $(CLANG_FORMAT) -i $(FORMATTED) && $(FORMAT_CHECK) 2>/dev/null && exit 0; \
	done; \
	$(FORMAT_CHECK)

format-check:
	@CLANG_FORMAT='$(CLANG_FORMAT)' sh .ci/need format
	@$(FORMAT_CHECK) || { echo 'format-check: FAILED; `make format` mends it' >&2; exit 1; }

clean:
	rm -rf $(BUILD) $(BUILD)-san $(BUILD)-tsan $(BUILD)-fuzz

-include $(OBJECTS:.o=.d) $(UNIT_TESTS:=.d) $(PLANS_OBJECTS:.o=.d) $(BENCH:=.d) $(FUZZERS:=.d) $(TOKENS:=.d)
