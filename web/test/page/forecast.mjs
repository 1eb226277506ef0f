// SPDX-License-Identifier: GPL-3.0-or-later
//
// Ready by doors? A check told over a quarter of an hour: digits, shape and word, the band over time
// and the same as a list, progress by box; and that it moves when a line is told.
import { check, DESK, good, newShow, open, same, serve, PHONE } from "./harness.mjs";

// In the page: lines 1 to n of the act heard at every desk, 20 s each, the last one just now
async function tell(lines) {
  const desks = ["foh", "mon", "broadcast"];
  const facts = lines.flatMap((line, i) =>
    desks.map((at, d) => ({ id: `forecast-${line}-${at}-0001`, verb: "saw", line, check: "level", reading: "normal", at, age_s: 20 * (lines.length - 1 - i) + 3 - d })),
  );
  for (let i = 0; i < facts.length; i += 90) {
    const sent = await fetch("/api/1/facts", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ facts: facts.slice(i, i + 90) }) });
    if (!sent.ok) throw new Error(await sent.text());
  }
}

await check("the forecast: chance, band, boxes, and what was foretold before", async (device) => {
  const server = await serve(newShow([], ["--lines", "30"]));
  const page = await device(DESK);
  await open(page, server, "house", "#/clock");
  await page.locator('a[href="#/forecast"]').click();
  await page.locator(".fc-large").waitFor();
  good((await page.locator(".fc-past svg").count()) === 0, "a band before anything was told");
  const needed = Array.from({ length: 30 }, (_, i) => i + 1);
  await page.evaluate(tell, needed.slice(0, 20));
  await page.locator(".fc-past svg").waitFor();
  await page.locator(".fc-past + details summary").click();
  const shown = await page.evaluate(async () => {
    const f = await (await fetch("/api/1/forecast")).json();
    const text = (s) => [...document.querySelectorAll(s)].map((e) => e.textContent.trim());
    return { f, list: text(".fc-past + details li"), boxes: text(".fc-boxes li"), band: document.querySelector(".fc-band").getAttribute("d"), image: document.querySelector(".fc-past svg").getAttribute("aria-label"), big: text(".fc-big b") };
  });
  same(shown.f.lines, { needed: needed.length, ready: 20, moved: 0, bad: 0, heard: 0 }, "lines");
  good(shown.f.pace.lines > 18 && Math.abs(shown.f.pace.seconds_a_line - 20) < 3, `pace: ${JSON.stringify(shown.f.pace)}`);
  same(shown.list.length, shown.f.history.length + 1, "a row for each moment and for now");
  same(shown.band.split("L").length, 2 * (shown.f.history.length + 1), "two corners for each");
  good(!shown.band.includes("NaN"), "a band of numbers");
  const last = shown.f.history[shown.f.history.length - 1];
  good(shown.image.includes(shown.f.history[0].ready_by[0]), shown.image);
  good(last.high_s - last.low_s < shown.f.history[0].high_s - shown.f.history[0].low_s, "the band closes");
  good(shown.big.includes(shown.f.ready_by[0]) || shown.big.includes(last.ready_by[0]), `the digits: ${shown.big}`);
  same(shown.boxes.length, shown.f.boxes.length, "boxes");
  await page.evaluate(tell, needed.slice(20));
  await page.locator('[data-forecast="proven"]').waitFor();
  good((await page.locator(".fc-word").textContent()).includes("ready"), "ready is said in a word");
  same(await page.locator(".fc-past").count(), 1, "what was foretold stays");
});

await check("the forecast across the room: digits that fill a tablet, and a phone", async (device) => {
  const server = await serve(newShow());
  for (const [how, least] of [[{ viewport: { width: 1280, height: 800 } }, 100], [PHONE, 55]]) {
    const page = await device(how);
    await open(page, server, "look", "#/forecast");
    await page.locator(".fc-big b").first().waitFor(); // At least when the last line is proven
    good((await page.locator(".forecast").textContent()).includes("has no date"), "doors without a date are taken as today's, and it says so");
    const px = await page.evaluate(() => Math.min(...[...document.querySelectorAll(".fc-big b")].map((b) => parseFloat(getComputedStyle(b).fontSize))));
    good(px >= least, `digits of ${px} px on ${how.viewport.width}`);
  }
});
