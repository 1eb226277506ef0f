// SPDX-License-Identifier: GPL-3.0-or-later
//
// What every case in a real browser needs: the program serving a show of the demo lists in a folder
// of its own, on a port of loopback that was free, and Chromium with one context per device.
import { execFileSync, spawn } from "node:child_process";
import { copyFileSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

export const program = process.env.LINEWALK;
export const demo = process.env.DEMO;
export const shots = process.env.SHOTS;
export const long = process.env.LINEWALK_LONG === "1";
export const pictures = shots && (long || process.env.PICTURES === "1");
// SLOWER=6: every page on a processor made six times slower, to see that no case leans on speed
const slower = Number(process.env.SLOWER ?? 1);
const browserPath = process.env.CHROMIUM ?? ["/usr/bin/chromium", "/usr/bin/chromium-browser"].find(existsSync);

let passed = 0;
let failed = 0;
export function same(got, want, what = "") {
  const g = JSON.stringify(got);
  const w = JSON.stringify(want);
  if (g !== w) throw new Error(`${what}: got ${g}, want ${w}`);
}
export function good(yes, what) {
  if (!yes) throw new Error(what);
}
export function figure(name, value, unit) {
  console.log(`figure: ${name} ${value} ${unit}`);
}

const folder = mkdtempSync(join(tmpdir(), "page-"));
const servers = new Set();
let browser = null;

// In the page: `calm()` comes when the page has heard of everything the server has, nothing is being
// asked, and all that was answered is drawn
function counting() {
  let asking = 0;
  let asked = 0;
  let heard = -1;
  let heardAt = 0;
  const hear = (seq) => {
    if (seq > heard) heardAt = performance.now();
    heard = Math.max(heard, seq);
  };
  const Stream = window.EventSource;
  window.EventSource = class extends Stream {
    constructor(...how) {
      super(...how);
      this.addEventListener("now", (e) => hear(JSON.parse(e.data).seq));
    }
  };
  const real = window.fetch;
  window.fetch = async (...how) => {
    ++asking;
    ++asked;
    try {
      const got = await real(...how);
      const text = got.status === 304 ? "" : await got.text();
      if (String(how[0]).endsWith("/me") && got.ok) hear(JSON.parse(text).seq);
      got.json = async () => JSON.parse(text);
      got.text = async () => text;
      return got;
    } finally {
      setTimeout(() => --asking, 0);
    }
  };
  const frame = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0)));
  const REFRESH_MS = 260; // The page asks anew that long after it heard, at the latest
  window.calm = async () => {
    const { seq } = await (await real("/api/1/me", { cache: "no-store" })).json();
    while (heard < seq) await frame();
    const since = performance.now() - heardAt;
    if (since < REFRESH_MS) await new Promise((done) => setTimeout(done, REFRESH_MS - since));
    for (let still = 0, was = asked; still < 3; was = asked) {
      await frame();
      still = asking === 0 && asked === was && !document.querySelector("[aria-busy]") ? still + 1 : 0;
    }
  };
}
export const calm = (page) => page.evaluate(() => window.calm());

/// One case; what it opened is closed whatever happens.
export async function check(name, run) {
  if (process.env.ONLY && !name.includes(process.env.ONLY)) return;
  const contexts = [];
  const errors = [];
  const device = async (how) => {
    browser ??= await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox", "--disable-dev-shm-usage"] });
    const context = await browser.newContext(how);
    contexts.push(context);
    await context.addInitScript(counting);
    const page = await context.newPage();
    page.on("pageerror", (e) => errors.push(e.message));
    page.setDefaultTimeout(20_000 * slower);
    if (slower > 1) await (await context.newCDPSession(page)).send("Emulation.setCPUThrottlingRate", { rate: slower });
    return page;
  };
  const at = Date.now();
  try {
    await run(device);
    if (errors.length) throw new Error("in the page: " + errors.join("; "));
    ++passed;
    console.log(`good: ${name} (${((Date.now() - at) / 1000).toFixed(1)} s)`);
  } catch (e) {
    ++failed;
    console.log(`FAIL ${name}: ${e.stack ?? e}${errors.length ? " | in the page: " + errors.join("; ") : ""}`);
    if (shots) {
      mkdirSync(shots, { recursive: true });
      let n = 0;
      for (const c of contexts) for (const p of c.pages()) await p.screenshot({ path: join(shots, `failed-${name.replace(/\W+/g, "-")}-${++n}.png`) }).catch(() => {});
    }
  } finally {
    for (const c of contexts) await c.close().catch(() => {});
    for (const s of [...servers]) await s.stop();
  }
}

export async function closing() {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
  console.log(`${passed} passed, ${failed} failed`);
  process.exitCode = failed ? 1 : 0;
}

export function linewalk(...args) {
  return execFileSync(program, args, { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] });
}

let n = 0;
const made = new Map();
/// A show of the demo lists with act 2 in force; `facts` are told to it: arguments behind `saw SHOW`.
/// Made once, then copied.
export function newShow(facts = [], lists = [demo]) {
  const show = join(folder, `show-${++n}.show`);
  const of = JSON.stringify([facts, lists]);
  if (!made.has(of)) {
    const first = facts.length ? newShow([], lists) : show + ".made";
    if (!facts.length) {
      linewalk("new", first, ...lists);
      if (lists[0] === demo) linewalk("now", first, "act2");
    }
    for (const f of facts) linewalk("saw", first, ...f);
    good(!existsSync(first + "-wal"), "a show that is closed is one file");
    made.set(of, first);
  }
  copyFileSync(made.get(of), show);
  return show;
}

/// Serves a show (or nothing, for the first run) until stop().
export async function serve(show, port = 0, more = []) {
  const args = ["serve", ...(show ? [show] : []), "--port", String(port), ...more];
  const child = spawn(program, args, { stdio: ["ignore", "pipe", "pipe"], cwd: folder });
  let said = "";
  const address = await new Promise((found, bad) => {
    const look = (chunk) => {
      said += chunk;
      const at = /http:\/\/127\.0\.0\.1:\d+\//.exec(said);
      if (at) found(at[0]);
    };
    child.stdout.on("data", look);
    child.stderr.on("data", look);
    child.on("exit", (code) => bad(new Error(`serve ended (${code}): ${said}`)));
  });
  const server = {
    address,
    port: Number(new URL(address).port),
    show,
    said: () => said,
    stop: () =>
      new Promise((done) => {
        servers.delete(server);
        if (child.exitCode !== null || child.signalCode !== null) return done();
        child.removeAllListeners("exit");
        child.on("exit", done);
        child.kill("SIGTERM");
      }),
  };
  servers.add(server);
  return server;
}

/// Waits until all this device told is in the show file.
export async function toldAll(page) {
  await page.locator("[data-age=live]").waitFor({ timeout: 40_000 * slower });
}

/// A line number is typed before the page goes there by itself, however slow the machine.
export async function slowFingers(page) {
  await page.addInitScript(() => {
    const real = window.setTimeout;
    window.setTimeout = (run, ms, ...more) => real(run, ms === 900 ? 120_000 : ms, ...more);
  });
}

/// The facts in a show file, in order.
export function factsOf(show) {
  const out = join(folder, `export-${++n}`);
  linewalk("export", show, out);
  return readFileSync(join(out, "facts.jsonl"), "utf8")
    .split("\n")
    .filter(Boolean)
    .map((l) => JSON.parse(l));
}

export const DESK = { viewport: { width: 1440, height: 900 } };
export const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 };

/// Opens a screen as somebody of this role.
export async function open(page, server, role, hash = "#/lines", theme = "dark") {
  await page.addInitScript((t) => localStorage.setItem("linewalk.theme", t), theme);
  const joined = await page.request.post(server.address + "api/1/join", { data: { role }, headers: { Origin: server.address.replace(/\/$/, "") } });
  good(joined.ok(), `join as ${role}: ${joined.status()} ${await joined.text()}`);
  await page.goto(server.address + hash);
  await page.locator("[data-age=live]").waitFor();
}

/// Goes to another screen of the same page.
export async function to(page, hash) {
  await page.evaluate((h) => void (location.hash = h), hash);
}

/// Tells facts as another device would: verb and words of each.
export async function toldTo(page, server, facts) {
  const sent = facts.map((f) => ({ id: `test-${++n}-${Math.random().toString(16).slice(2)}`, age_s: 0, ...f }));
  const answer = await page.request.post(server.address + "api/1/facts", { data: { facts: sent }, headers: { Origin: server.address.replace(/\/$/, "") } });
  const refused = answer.ok() ? (await answer.json()).facts.filter((a) => a.is === "refused") : [];
  good(answer.ok() && refused.length === 0, `facts: ${answer.status()} ${JSON.stringify(refused)}`);
}

/// A pass begun, everybody ready.
export const passFacts = (what, act = "bare lines") => [{ verb: "pass", what, act }, ...["foh", "mon", "broadcast", "stage"].map((at) => ({ verb: "ready", at, act }))];
