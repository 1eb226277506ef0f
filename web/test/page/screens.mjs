// SPDX-License-Identifier: GPL-3.0-or-later
//
// Every screen in every light: no violation axe knows, states and steps 7:1 against their ground,
// targets of 48 px, nothing wider than the screen, states that differ in grey; and a picture of each
// in two sizes to be looked at (PICTURES=1, and make long).
import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { calm, check, DESK, good, newShow, open, passFacts, PHONE, pictures, same, serve, shots, to, toldTo } from "./harness.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const THEMES = ["dark", "daylight", "red"];
const SCREENS = [
  ["lines", "#/lines", ".row"],
  ["box-zoom", "#/lines/D", ".row"],
  ["line-bad", "#/line/45", ".step.first"],
  ["line-proven", "#/line/1", ".plate"],
  ["steps", "#/steps", ".bigstep, .rest"],
  ["prove-how", "#/pass", ".hows"],
  ["prove", "#/prove", ".boxes"],
  ["prove-box", "#/prove/D", ".isgood"],
  ["prove-else", "#/prove/D", ".isgood", ".notgood"],
  ["hunt", "#/hunt/41", ".hunt .tiles"],
  ["change", "#/change/act2/act3", ".tickbig"],
  ["sign", "#/sign/45", ".pickwords"],
  ["talk", "#/talk", ".said li"],
  ["clock", "#/clock", ".risk li"],
  ["forecast", "#/forecast", ".fc-past svg"],
  ["compare", "#/compare", ".compare p, .compare li"],
  ["outputs", "#/outputs", ".circuit"],
  ["paper", "#/paper", ".sheets"],
  ["paper-patch", "#/paper/patch", "img.sheet"],
  ["me", "#/me", ".keys"],
];
// A silent vocal, half a box gone with its tail, one box proven
const FACTS = [
  ["45", "level=nothing", "--at", "foh"],
  ["45", "swap source=same"],
  ...[29, 30, 31, 32].map((l) => [String(l), "level=nothing", "--at", "foh"]),
  ...[1, 2, 3].flatMap((l) => ["foh", "mon", "broadcast"].map((d) => [String(l), "level=normal", "--at", d])),
];

// A pass by lamp through box D: two good, one not, one put off
const lamp = (line, reading) => ({ verb: "saw", line, check: "lamps", reading, at: "socket", act: "bare lines" });
const PASS = [...passFacts("lamp"), lamp(41, "GG."), lamp(42, "GG."), lamp(43, "..."), { verb: "skip", line: 44, act: "bare lines" }];
async function staged(page) {
  const server = await serve(newShow(FACTS));
  await toldTo(page, server, PASS);
  return server;
}
/// Goes to a screen, and on it to what one tap shows.
async function show(page, [, hash, ready, tap]) {
  await to(page, hash);
  await page.locator(ready).first().waitFor();
  if (tap) await page.locator(tap).first().click();
}

// In the page: contrast of each text against the ground it stands on
function contrasts(selector) {
  const pen = Object.assign(document.createElement("canvas"), { width: 1, height: 1 }).getContext("2d", { willReadFrequently: true });
  const rgb = (css) => {
    pen.clearRect(0, 0, 1, 1);
    pen.fillStyle = css;
    pen.fillRect(0, 0, 1, 1);
    return [...pen.getImageData(0, 0, 1, 1).data];
  };
  const light = ([r, g, b]) => [r, g, b].map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)).reduce((s, v, i) => s + v * [0.2126, 0.7152, 0.0722][i], 0);
  return [...document.querySelectorAll(selector)]
    .filter((el) => el.getClientRects().length && el.textContent.trim())
    .map((el) => {
      let ground = [0, 0, 0, 0];
      for (let up = el; up && ground[3] < 255; up = up.parentElement) ground = rgb(getComputedStyle(up).backgroundColor);
      const a = light(rgb(getComputedStyle(el).color));
      const b = light(ground);
      return { text: `${el.className}: ${el.textContent.trim().slice(0, 40)}`, ratio: (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05) };
    });
}
const STATES_AND_STEPS = ".mark, .p-state, .p-name, .chip span, .chip b, .say, .caution, .answer, .row .n, .row .what b, .row .what small, .tile b, .tickbig, .chlist span, .people b, .channels td, .nowat b, .isgood span, .notgood, .breath, .boxes b, .elses b, .where b, .big-n, .age, .unseen p, .fc-word, .fc-big span, .fc-big small, .fc-most, .fc-say, .fc-boxes li > span, .fc-boxes b";

// In the page: what can be touched and is smaller than 48 px
function small() {
  return [...document.querySelectorAll("a[href], button, select, input, textarea, summary")]
    .filter((el) => !el.classList.contains("skip") && el.getClientRects().length)
    .map((el) => ({ el, box: el.getBoundingClientRect() }))
    .filter(({ box }) => box.width < 47.5 || box.height < 47.5)
    .map(({ el, box }) => `${el.tagName}.${el.className} "${el.textContent.trim().slice(0, 30)}" ${Math.round(box.width)}x${Math.round(box.height)}`);
}

// In the page: what axe finds; its other rules see nothing of the light
async function axeFinds([source, only]) {
  if (!window.axe) (0, eval)(source);
  const { violations } = await window.axe.run(document, { resultTypes: ["violations"], ...(only ? { runOnly: [only] } : {}) });
  return violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((x) => x.target.join(" ")).join("; ")}`);
}
const overBy = (page) => page.evaluate((w) => document.documentElement.scrollWidth - w, page.viewportSize().width);
async function picture(page, name, fullPage = false) {
  if (!pictures) return;
  mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: join(shots, `${name}.png`), fullPage });
}

for (const [size, how] of [["phone", PHONE], ["desk", DESK]]) {
  await check(`screens on a ${size}, in every light and size`, async (device) => {
    // Lights are switched in place: without the fading of colours, or a colour half way is measured
    const page = await device({ ...how, reducedMotion: "reduce" });
    const server = await staged(page);
    await toldTo(page, server, [{ verb: "say", to: "foh", text: "Muted." }]);
    await open(page, server, "house");
    const wrong = [];
    for (const screen of SCREENS) {
      const [name] = screen;
      await show(page, screen);
      await calm(page);
      for (const theme of THEMES) {
        await page.evaluate((t) => void (document.documentElement.dataset.theme = t), theme);
        await picture(page, `${name}-${theme}-${size}`, size === "desk");
        const at = `${name}, ${theme}`;
        for (const c of await page.evaluate(contrasts, STATES_AND_STEPS)) if (c.ratio < 7) wrong.push(`${at}: contrast ${c.ratio.toFixed(2)}: ${c.text}`);
        for (const s of await page.evaluate(small)) wrong.push(`${at}: target ${s}`);
        if ((await overBy(page)) > 0) wrong.push(`${at}: ${await overBy(page)} px wider than the screen`);
        if (size === "phone" || name === "lines" || name === "line-bad") {
          for (const f of await page.evaluate(axeFinds, [axe, theme === THEMES[0] ? "" : "color-contrast"])) wrong.push(`${at}: axe ${f}`);
        }
      }
      await page.evaluate((t) => void (document.documentElement.dataset.theme = t), THEMES[0]);
      if (size === "phone") {
        // Words as large as the device screen makes them
        await page.evaluate(() => {
          document.documentElement.style.fontSize = "175%";
          document.documentElement.dataset.words = "large";
        });
        if ((await overBy(page)) > 0) wrong.push(`${name}, large words: ${await overBy(page)} px over`);
        await picture(page, `${name}-large`);
        await page.evaluate(() => {
          document.documentElement.style.fontSize = "100%";
          document.documentElement.dataset.words = "";
        });
      } else {
        for (const [width, height] of [[320, 640], [640, 320], [2560, 1440]]) {
          await page.setViewportSize({ width, height });
          if ((await overBy(page)) > 0) wrong.push(`${name} at ${width}: ${await overBy(page)} px over`);
          if (name === "lines" || name === "line-bad") await picture(page, `${name}-${width}x${height}`);
        }
        await page.setViewportSize(how.viewport);
      }
    }
    same([...new Set(wrong)], [], "what is wrong");
    if (size === "phone") {
      // What was just told, in large words: whole on the screen
      await to(page, "#/line/7");
      await page.evaluate(() => {
        document.documentElement.style.fontSize = "175%";
        document.documentElement.dataset.words = "large";
      });
      await page.locator(".tell button[data-check=level][data-reading=low]").tap();
      const note = await page.waitForFunction(() => document.querySelector(".note-good")?.getBoundingClientRect().toJSON());
      const box = await note.jsonValue();
      good(box.left >= 0 && box.right <= how.viewport.width && box.height < how.viewport.height / 2, `a note in large words: ${JSON.stringify(box)}`);
      await to(page, "#/me");
      for (let i = 0; i < 4; ++i) await page.getByRole("button", { name: "larger" }).tap();
      await page.waitForFunction(() => document.documentElement.style.fontSize === "175%" && document.documentElement.dataset.words === "large");
      await page.reload();
      await page.waitForFunction(() => document.documentElement.style.fontSize === "175%" && document.documentElement.dataset.words === "large");
    }
  });
}

await check("states differ in grey, each with its word; a tail gone is a stripe", async (device) => {
  const server = await serve(newShow(FACTS));
  const page = await device({ ...DESK, reducedMotion: "reduce" });
  await open(page, server, "house");
  await page.locator(".row").first().waitFor();
  for (const theme of THEMES) {
    await page.evaluate((t) => void (document.documentElement.dataset.theme = t), theme);
    // How far two pictures are apart: the share of pixels that differ clearly in grey
    const apart = async (all) =>
      page.evaluate(async (all) => {
        const pixels = {};
        for (const [state, base64] of Object.entries(all)) {
          const image = new Image();
          image.src = "data:image/png;base64," + base64;
          await image.decode();
          const c = Object.assign(document.createElement("canvas"), { width: 16, height: 16 });
          const pen = c.getContext("2d");
          pen.drawImage(image, 0, 0, 16, 16);
          const { data } = pen.getImageData(0, 0, 16, 16);
          pixels[state] = Array.from({ length: 256 }, (_, i) => 0.2126 * data[4 * i] + 0.7152 * data[4 * i + 1] + 0.0722 * data[4 * i + 2]);
        }
        const pairs = [];
        const states = Object.keys(pixels);
        for (let i = 0; i < states.length; ++i) {
          for (let k = i + 1; k < states.length; ++k) {
            let differ = 0;
            for (let p = 0; p < 256; ++p) differ += Math.abs(pixels[states[i]][p] - pixels[states[k]][p]) > 48 ? 1 : 0;
            pairs.push([states[i] + "/" + states[k], differ / 256]);
          }
        }
        return pairs;
      }, all);
    const glyphs = {};
    for (const mark of await page.locator(".legend .mark").all()) {
      const state = await mark.getAttribute("data-state");
      glyphs[state] = (await mark.locator(".glyph").screenshot()).toString("base64");
      same((await mark.textContent()).trim(), state, "the word beside the shape");
    }
    same(Object.keys(glyphs).length, 6, "six states");
    for (const [pair, share] of await apart(glyphs)) good(share > 0.08, `${theme}: ${pair} differ in ${share} of the picture`);
    const cells = {};
    await page.evaluate(() => scrollTo(0, 0)); // Or what sticks to the top lies over them
    for (const state of ["proven", "unproven", "suspect", "bad"]) {
      const cell = page.locator(`.row .cells .c-${state}`).first();
      cells[state] = (await cell.screenshot()).toString("base64");
    }
    for (const [pair, share] of await apart(cells)) good(share > 0.05, `${theme}: cells ${pair} differ in ${share} of the picture`);
  }

  // A tail gone is a stripe, a break is a point
  const column = await page.evaluate(() => {
    const rows = [...document.querySelectorAll(".group")].find((g) => g.querySelector(".letter").textContent === "C").querySelectorAll(".row:not(.s-unused)");
    const heads = [...document.querySelectorAll(".group .colheads i")].map((i) => i.textContent);
    const nth = heads.indexOf("tail");
    return [...rows].slice(0, 5).map((r) => ({ c: r.querySelectorAll(".cells i")[nth].className, box: r.querySelectorAll(".cells i")[nth].getBoundingClientRect().toJSON() }));
  });
  same(column.map((c) => c.c), Array(5).fill("c-suspect"), "the tail of box C");
  for (let i = 1; i < column.length; ++i) good(column[i].box.top - column[i - 1].box.bottom < 0.6, "cells touch");
});
