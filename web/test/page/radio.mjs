// SPDX-License-Identifier: GPL-3.0-or-later
//
// Bad radio: what is told while the server is gone arrives once, in order, whatever the page goes
// through meanwhile.
import { check, DESK, factsOf, good, newShow, open, passFacts, PHONE, same, serve, toldAll, toldTo } from "./harness.mjs";

await check("20 readings with the server stopped and the page loaded anew between", async (device) => {
  const show = newShow();
  let server = await serve(show);
  const port = server.port;
  const phone = await device(PHONE);
  await toldTo(phone, server, passFacts("microphone"));
  await open(phone, server, "stage", "#/prove/A");
  await phone.locator(".isgood").waitFor();
  const lines = await phone.locator(".tile").evaluateAll((all) => all.slice(0, 10).map((s) => Number(s.dataset.line)));

  await server.stop();
  for (const _ of lines) await phone.locator(".isgood").tap();
  await phone.locator("[data-age=waits]", { hasText: "10 waiting" }).waitFor();

  // The page is loaded anew from a server that takes nothing yet
  await phone.route("**/api/1/facts", (r) => r.abort());
  server = await serve(show, port);
  await phone.reload();
  await phone.locator("[data-age=waits]", { hasText: "10 waiting" }).waitFor();
  await phone.locator(".tile[data-mark=good]").nth(9).waitFor();
  await server.stop();
  await phone.unroute("**/api/1/facts");
  for (const line of lines) {
    await phone.locator(`.tile[data-line="${line}"]`).tap();
    await phone.locator(".notgood").tap();
    await phone.locator("[data-else=no]").tap();
  }
  await phone.locator("[data-age=waits]", { hasText: "20 waiting" }).waitFor();
  same(await phone.locator(".tile[data-mark=bad]").count(), 10, "they count at once");

  server = await serve(show, port);
  await toldAll(phone);
  const told = factsOf(show).filter((f) => f.kind === "reading");
  same(told.map((f) => [f.body.line, f.body.reading]), [...lines.map((l) => [l, "normal"]), ...lines.map((l) => [l, "nothing"])], "once each, in order");
});

await check("a page says how old it is, and wakes up current", async (device) => {
  const show = newShow();
  let server = await serve(show);
  const port = server.port;
  const desk = await device(DESK);
  await open(desk, server, "house", "#/line/7");
  await desk.locator(".plate.s-unproven").waitFor();
  await server.stop();
  await desk.locator("[data-age=old]").waitFor({ timeout: 40_000 });
  good(/\d+ s old/.test((await desk.locator("[data-age=old]").textContent()) ?? ""), "it says how old");
  server = await serve(show, port);
  await desk.locator("[data-age=live]").waitFor({ timeout: 40_000 });
});

await check("a wrong phone clock does no harm", async (device) => {
  const show = newShow();
  const server = await serve(show);
  const phone = await device(PHONE);
  await phone.addInitScript(() => {
    const real = Date.now.bind(Date);
    Date.now = () => real() - 400 * 86400e3;
  });
  await open(phone, server, "stage", "#/line/7");
  await phone.locator(".tell button[data-check=level][data-reading=normal]").tap();
  await phone.locator(".history li").first().waitFor();
  await toldAll(phone);
  const told = factsOf(show).filter((f) => f.kind === "reading");
  const off_s = Math.abs(Date.parse(told[0].time) - Date.now()) / 1000;
  good(off_s < 30, `the reading is ${off_s} s off`);
});
