// SPDX-License-Identifier: GPL-3.0-or-later
//
// node dev/serve.mjs SHOW [PORT]: the built page before a show file, each answer asked of the
// command line (LINEWALK names the program). For work on the page alone; the program serves itself.
import { execFile } from "node:child_process";
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const program = process.env.LINEWALK ?? join(here, "../../build/release/src/face/linewalk");
const [show, port = "8099"] = process.argv.slice(2);
const dist = join(here, "../dist");
const words = ["line", "check", "item", "place", "what", "act", "list"];
let seq = 1;
let role = process.env.ROLE ?? "house";
const place = { house: "foh", monitors: "mon", broadcast: "broadcast", stage: "stage", amplifiers: "amps", look: "" };
const log = [];
const streams = new Set();
const roleOf = (req) => /role=(\w+)/.exec(req.headers.cookie ?? "")?.[1] ?? role;

const run = (args) =>
  new Promise((done) => execFile(program, args, { maxBuffer: 1 << 26 }, (e, out, err) => done({ code: e?.code ?? 0, out, err: err.trim() })));

async function verb(name, q) {
  const args = [name, show];
  for (const w of words) if (q.has(w) && name !== "now" && !(w === "act")) args.push(q.get(w));
  for (const [k, v] of q) if (!words.includes(k) || k === "act") args.push(v === "1" ? "--" + k : `--${k}=${v}`);
  return run([...args, "--json"]);
}

const toldArgs = (f, by) => {
  const tail = ["--json", "--id", f.id, "--role", by];
  switch (f.verb) {
    case "saw": return ["saw", show, String(f.line), `${f.check}=${f.reading}`, ...(f.at && f.at !== "socket" ? ["--at", f.at] : []), ...tail];
    case "plug": return ["plug", show, f.place, f.what, ...tail];
    case "tape": return ["tape", show, f.item, ...tail];
    case "undo": return ["undo", show, ...tail];
    case "now": return ["now", show, f.act, ...tail];
    default: return null;
  }
};

async function take(f, by) {
  if (log.some((t) => t.id === f.id)) return { id: f.id, seq: null, is: "known", say: "" };
  const args = toldArgs(f, by);
  let say = f.verb === "saw" ? `${f.check}=${f.reading} at ${f.at ?? "foh"}` : (f.text ?? f.verb);
  if (args) {
    const r = await run(args);
    if (r.code !== 0) return { id: f.id, seq: null, is: "refused", say: r.err };
  }
  if (f.verb === "undo") for (const t of log) if (t.id === f.fact) t.void = true;
  const told = { seq: ++seq, id: f.id, at: Date.now() - 1000 * (f.age_s ?? 0), role: by, place: place[by] ?? "", kind: f.verb === "saw" ? "reading" : f.verb, line: f.line ?? null, void: false, say, body: f };
  log.push(told);
  for (const s of streams) s.write(`id: ${seq}\nevent: fact\ndata: ${JSON.stringify({ ...told, age_s: 0 })}\n\n`);
  return { id: f.id, seq, is: "new", say: f.verb === "saw" ? `Line ${f.line}: ${say} is written down.` : "" };
}

const server = createServer(async (req, res) => {
  const url = new URL(req.url, "http://x");
  const json = (code, body, more = {}) => {
    res.writeHead(code, { "Content-Type": "application/json", ...more });
    res.end(typeof body === "string" ? body : JSON.stringify(body));
  };
  const manifest = JSON.parse(readFileSync(join(dist, "manifest.json"), "utf8"));
  const file = manifest.files.find((f) => f.path === url.pathname);
  if (file) {
    res.writeHead(200, { "Content-Type": file.type, "Content-Encoding": "gzip", "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; media-src 'self'; base-uri 'none'; form-action 'self'" });
    return res.end(readFileSync(join(dist, file.gzip)));
  }
  const path = url.pathname.replace("/api/1/", "");
  if (req.method === "POST") {
    let text = "";
    for await (const c of req) text += c;
    const body = JSON.parse(text);
    if (path === "join") return json(200, { format: 1 }, { "Set-Cookie": `role=${body.role}; HttpOnly; SameSite=Strict` });
    if (path === "facts") {
      const facts = [];
      for (const f of body.facts) facts.push(await take(f, roleOf(req)));
      for (const s of streams) s.write(`id: ${seq}\nevent: now\ndata: {"seq":${seq}}\n\n`);
      return json(200, { format: 1, seq, facts });
    }
  }
  if (path === "me") {
    return json(200, { format: 1, show: "day", role: roleOf(req), place: place[roleOf(req)], may: roleOf(req) === "look" ? [] : ["saw", "plug", "tape", "undo", "now", "say", "seen", "take", "refuse"], needs_code: false, joined: true, seq, clock_s: Date.now() / 1000, empty: false, desks: ["foh", "mon", "broadcast"], doors: "14:00",
      boxes: [["A", "drum riser box", "upstage centre", 16], ["B", "stage-right box", "stage right, mid", 12], ["C", "stage-left box", "stage left, mid", 12], ["D", "downstage vocal box", "downstage centre edge", 8]].map(([box, name, place, sockets]) => ({ box, name, place, sockets })) });
  }
  if (path === "facts") return json(200, { format: 1, seq, facts: log.map((t) => ({ ...t, age_s: (Date.now() - t.at) / 1000 })) });
  if (path === "stream") {
    res.writeHead(200, { "Content-Type": "text/event-stream" });
    res.write(": hello\n\n");
    streams.add(res);
    const beat = setInterval(() => res.write(`event: hb\ndata: {"seq":${seq}}\n\n`), 10000);
    req.on("close", () => (streams.delete(res), clearInterval(beat)));
    return;
  }
  if (path === "lines") {
    const act = url.searchParams.get("act");
    const all = JSON.parse((await run(["lines", show, "--json", ...(act ? ["--act", act] : [])])).out);
    for (const l of all.lines) l.parts = JSON.parse((await run(["line", show, String(l.line), "--json", ...(act ? ["--act", act] : [])])).out).parts.map((p) => ({ part: p.part, state: p.state }));
    return json(200, all);
  }
  const r = await verb(path, url.searchParams);
  json(r.code === 0 || r.out ? 200 : 400, r.out || { say: r.err });
});
server.listen(Number(port), "127.0.0.1", () => console.log(`http://127.0.0.1:${server.address().port}/`));
