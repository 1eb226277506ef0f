// SPDX-License-Identifier: GPL-3.0-or-later
//
// node test/bench.mjs: what the page costs, measured in Chromium on a processor made four times
// slower. LINEWALK names the program, DEMO the demo lists, DIST the built page. Never fails for being slow.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { check, closing, DESK, figure, newShow, open, passFacts, PHONE, serve, toldTo } from "./page/harness.mjs";

const SLOWER = 4;
const median = (all) => all.slice().sort((a, b) => a - b)[all.length >> 1];

async function slow(page) {
  const cdp = await page.context().newCDPSession(page);
  await cdp.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
}

if (process.env.DIST) {
  const { files } = JSON.parse(readFileSync(join(process.env.DIST, "manifest.json"), "utf8"));
  const bytes = files.reduce((n, f) => n + readFileSync(join(process.env.DIST, f.gzip)).length, 0);
  figure("page_gzipped", (bytes / 1000).toFixed(1), "kB");
}

await check("bench: all lines of 48", async (device) => {
  const server = await serve(newShow());
  const took = [];
  for (let i = 0; i < 5; ++i) {
    const page = await device(PHONE);
    await page.addInitScript(() => localStorage.setItem("linewalk.theme", "dark"));
    await slow(page);
    await page.goto(server.address + "#/lines", { waitUntil: "commit" });
    await page.waitForFunction(() => document.querySelectorAll(".row").length === 48);
    took.push(await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => setTimeout(() => done(performance.now()), 0)))));
    await page.context().close();
  }
  figure("page_all_lines_48_slowed_4x", (median(took) / 1000).toFixed(2), "s");

  // The same without what else this machine does: the page's own thread, times four
  const page = await device(PHONE);
  const cdp = await page.context().newCDPSession(page);
  await cdp.send("Performance.enable", { timeDomain: "threadTicks" });
  await page.goto(server.address + "#/lines");
  await page.waitForFunction(() => document.querySelectorAll(".row").length === 48);
  const { metrics } = await cdp.send("Performance.getMetrics");
  figure("page_all_lines_48_own_thread_times_4", (metrics.find((m) => m.name === "TaskDuration").value * SLOWER).toFixed(2), "s");
});

await check("bench: a fact painted", async (device) => {
  const server = await serve(newShow());
  const teller = await device(DESK);
  const page = await device(DESK);
  await open(teller, server, "monitors", "#/line/7");
  await open(page, server, "house", "#/line/7");
  await page.locator(".plate").waitFor();
  await slow(page);
  const took = [];
  for (let i = 0; i < 11; ++i) {
    // In the page: from the arrival of the fact to the frame after the history shows it
    await page.evaluate(() => {
      window.shown = new Promise((done) => {
        const came = () => performance.getEntriesByName("fact-came").at(-1)?.startTime ?? 0;
        const at = came();
        const watch = new MutationObserver(() => {
          if (came() <= at) return;
          watch.disconnect();
          requestAnimationFrame(() => setTimeout(() => done(performance.now() - came()), 0));
        });
        watch.observe(document.querySelector(".history"), { childList: true, subtree: true });
      });
    });
    await teller.locator(`.tell button[data-check=hum][data-reading=${i % 2 ? "none" : "audible"}]`).click();
    took.push(await page.evaluate(() => window.shown));
  }
  figure("page_fact_painted_slowed_4x", Math.round(median(took)), "ms");
});

await check("bench: 96 lines scrolled", async (device) => {
  const server = await serve(newShow([], ["--lines", "96"]));
  const page = await device(PHONE);
  await open(page, server, "house");
  await page.waitForFunction(() => document.querySelectorAll(".row").length === 96);
  await slow(page);
  await page.evaluate(() => {
    window.tasks = [];
    new PerformanceObserver((l) => window.tasks.push(...l.getEntries().map((e) => e.duration))).observe({ type: "longtask" });
  });
  for (let i = 0; i < 40; ++i) {
    await page.mouse.wheel(0, i < 20 ? 300 : -300);
    await page.waitForTimeout(50);
  }
  const tasks = await page.evaluate(() => window.tasks);
  figure("page_scroll_96_longest_task_slowed_4x", Math.round(Math.max(0, ...tasks)), "ms");
  figure("page_scroll_96_long_tasks_slowed_4x", tasks.length, "tasks");
});

// 16 sockets by taps as a hand gives them; the page's own share is from a tap to the frame after the next
// socket stands there
await check("bench: 16 sockets by taps", async (device) => {
  const server = await serve(newShow());
  const phone = await device(PHONE);
  await toldTo(phone, server, passFacts("lamp"));
  await open(phone, server, "stage", "#/prove/A");
  await phone.locator(".isgood").waitFor();
  await slow(phone);
  await phone.evaluate(() => {
    window.took = [];
    let at = 0;
    addEventListener("pointerdown", () => (at = performance.now()), true);
    new MutationObserver(() => {
      if (!at) return;
      const from = at;
      at = 0;
      requestAnimationFrame(() => setTimeout(() => window.took.push(performance.now() - from), 0));
    }).observe(document.querySelector(".entry"), { attributes: true, attributeFilter: ["data-here"] });
  });
  const begun = Date.now();
  for (let i = 0; i < 16; ++i) await phone.locator(".isgood").tap();
  await phone.locator("[data-done=A]").waitFor();
  figure("page_prove_16_sockets_slowed_4x", ((Date.now() - begun) / 1000).toFixed(1), "s");
  figure("page_prove_next_socket_slowed_4x", Math.round(median(await phone.evaluate(() => window.took))), "ms");
});

await closing();
