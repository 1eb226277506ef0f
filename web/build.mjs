// SPDX-License-Identifier: GPL-3.0-or-later
//
// node build.mjs [FOLDER [FILE.c FILE.d]]: check the types, bundle the page, and lay into FOLDER
// (dist) what the server embeds: files whose names hold a hash of what is in them, each beside its
// .gz, and manifest.json, which says under which path and type each is served. FILE.c gets the same
// as the table of src/face/page_assets.h, FILE.d what it was made from, as make writes it. Same
// sources, same bytes.
import { build } from "esbuild";
import { createHash } from "node:crypto";
import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";

const here = dirname(fileURLToPath(import.meta.url));
const [out = join(here, "dist"), table, made_from] = process.argv.slice(2);

{
  execFileSync(process.execPath, [join(here, "node_modules/typescript/bin/tsc"), "--noEmit", "-p", here], {
    stdio: "inherit",
  });
}

const made = await build({
  absWorkingDir: here,
  entryPoints: { page: "src/main.tsx", work: "src/part_work.ts", rest: "src/part_rest.ts" },
  bundle: true,
  splitting: true,
  format: "esm",
  target: ["es2020", "safari14", "chrome90", "firefox90"],
  supported: { destructuring: true },
  jsx: "automatic",
  jsxImportSource: "preact",
  minify: true,
  legalComments: "none",
  charset: "utf8",
  chunkNames: "[name]-[hash]",
  entryNames: "[name]-[hash]",
  outdir: "dist",
  metafile: true,
  write: false,
});

rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
const types = { js: "text/javascript; charset=utf-8", css: "text/css; charset=utf-8", html: "text/html; charset=utf-8", svg: "image/svg+xml" };
const files = [];
const put = (path, name, bytes) => {
  writeFileSync(join(out, name), bytes);
  writeFileSync(join(out, name + ".gz"), gzipSync(bytes, { level: 9 }));
  files.push({ path, file: name, type: types[name.split(".").pop()], gzip: name + ".gz" });
};
const named = (name, bytes) => {
  const hash = createHash("sha256").update(bytes).digest("hex").slice(0, 10);
  const [stem, ending] = name.split(".");
  return `${stem}-${hash}.${ending}`;
};

const of = {};
for (const file of made.outputFiles) {
  const name = file.path.split(/[\\/]/).pop();
  of[name.replace(/-[A-Z0-9]{8}(?=\.)/, "")] ??= name;
  put("/a/" + name, name, Buffer.from(file.contents));
}
const icon = readFileSync(join(here, "src/icon.svg"));
const iconName = named("icon.svg", icon);
put("/a/" + iconName, iconName, icon);

// A script with everything it imports, and what those import
const outputs = Object.fromEntries(Object.entries(made.metafile.outputs).map(([k, v]) => [k.split("/").pop(), v]));
const withAll = (name, all = new Set()) => {
  if (all.has(name)) return all;
  all.add(name);
  for (const i of outputs[name]?.imports ?? []) if (i.kind === "import-statement") withAll(i.path.split("/").pop(), all);
  return all;
};
const first = withAll(of["page.js"]);

const fill = Object.fromEntries(["page.js", "work.js", "rest.js", "page.css"].map((name) => [name, "/a/" + of[name]]));
fill["icon.svg"] = "/a/" + iconName;
fill["page.js with"] = [...first].slice(1).map((name) => `<link rel="modulepreload" href="/a/${name}" />`).join("\n    ");
const html = readFileSync(join(here, "src/index.html"), "utf8").replace(/\{\{([^}]+)\}\}/g, (_, key) => {
  if (!fill[key]) throw new Error(`index.html asks for ${key}, which was not made`);
  return fill[key];
});
put("/", "index.html", Buffer.from(html));
files.sort((a, b) => (a.path < b.path ? -1 : 1));
writeFileSync(join(out, "manifest.json"), JSON.stringify({ files }, null, 1) + "\n");

// What the first screen loads: the document, its styles, and the script with what it imports. And
// what a part loads besides.
const weight = (names) => (names.reduce((n, name) => n + readFileSync(join(out, name + ".gz")).length, 0) / 1000).toFixed(1);
console.log(`figure: page_first_screen ${weight(["index.html", of["page.css"], iconName, ...first])} kB`);
for (const part of ["work", "rest"]) {
  console.log(`figure: page_part_${part} ${weight([...withAll(of[part + ".js"])].filter((name) => !first.has(name)))} kB`);
}

// ---- The same as C ----

// A string of octal escapes: the fastest thing to compile that every compiler takes.
const inC = (bytes) => {
  const lines = [];
  for (let i = 0; i < bytes.length; i += 24) {
    let line = "";
    for (const b of bytes.subarray(i, i + 24)) line += "\\" + b.toString(8).padStart(3, "0");
    lines.push(`  "${line}"`);
  }
  return lines.join("\n");
};
if (table) {
  const parts = ["// SPDX-License-Identifier: GPL-3.0-or-later", "// Made by web/build.mjs.", '#include "face/page_assets.h"', ""];
  const rows = [];
  files.forEach((f, i) => {
    const bytes = readFileSync(join(out, f.file));
    const packed = readFileSync(join(out, f.gzip));
    const tag = createHash("sha256").update(bytes).digest("hex").slice(0, 16);
    parts.push(`static const char bytes_${i}[] =\n${inC(bytes)};`, `static const char gzip_${i}[] =\n${inC(packed)};`);
    rows.push(
      `  {${JSON.stringify(f.path)}, ${JSON.stringify(f.type)}, "${tag}", (const unsigned char*)bytes_${i}, ${bytes.length}, (const unsigned char*)gzip_${i}, ${packed.length}},`,
    );
  });
  parts.push("", "const PageAsset page_assets[] = {", ...rows, "};", `const size_t n_page_assets = ${files.length};`, "");
  writeFileSync(table, parts.join("\n"));
  // What is not there any more, or not yet, makes the table anew too
  const sources = Object.keys(made.metafile.inputs).filter((p) => !p.startsWith("node_modules"));
  const all = [...sources, "src/index.html", "src/icon.svg", "build.mjs", "package-lock.json", "tsconfig.json", "node_modules/.package-lock.json"];
  writeFileSync(made_from, `${table}: ${all.map((p) => join(here, p).replace(/ /g, "\\ ")).join(" ")}\n`);
}
