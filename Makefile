# SPDX-License-Identifier: GPL-3.0-or-later
.PHONY: build test

build:
	@test -d build/release || meson setup build/release >/dev/null
	@ninja -C build/release

test:
	@test -d build/test || meson setup build/test -Dtests=true -Db_sanitize=address,undefined --buildtype=debugoptimized >/dev/null
	@ninja -C build/test
	@tests/run build/test
