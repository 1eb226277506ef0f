// SPDX-License-Identifier: GPL-3.0-or-later
// node test/unit.mjs: the page's logic without a browser; ends "N passed, N failed".
import { build } from "esbuild";
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "page-unit-"));
try {
  await build({ entryPoints: [join(here, "unit/all.ts")], bundle: true, format: "esm", platform: "neutral", mainFields: ["module", "main"], outfile: join(folder, "all.mjs"), jsx: "automatic", jsxImportSource: "preact", logLevel: "error" });
  const web = "globalThis.crypto ??= (await import('node:crypto')).webcrypto; await import(process.argv[1]);";
  const ran = spawnSync(process.execPath, ["--input-type=module", "-e", web, join(folder, "all.mjs")], { stdio: "inherit" });
  process.exitCode = ran.status ?? 1;
} finally {
  rmSync(folder, { recursive: true, force: true });
}
