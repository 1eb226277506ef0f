// SPDX-License-Identifier: GPL-3.0-or-later
//
// Loudspeaker circuits on a phone at the amplifiers: a meter walked through a cable, ohms refused
// where the amplifier may be live, a bad one found.
import { check, DESK, factsOf, good, newShow, open, PHONE, same, serve, to, toldAll } from "./harness.mjs";

await check("a meter walked through a cable", async (device) => {
  const server = await serve(newShow());
  const phone = await device(PHONE);
  await open(phone, server, "amplifiers", "#/outputs");
  await phone.locator(".metering").waitFor();
  const first = await phone.locator(".metering").getAttribute("data-walk");
  same(await phone.locator(".metering input").count(), 0, "no field while it may be live");
  good((await phone.locator(".metering .caution").textContent()).includes("50 V"), "the caution");
  await phone.locator(".metering [data-plug]").tap();
  for (const ohm of ["2.97", "10.98"]) {
    const at = await phone.locator(".metering").getAttribute("data-walk");
    await phone.locator(".metering input").fill(ohm);
    await phone.keyboard.press("Enter");
    await phone.waitForFunction((was) => document.querySelector(".metering")?.getAttribute("data-walk") !== was, at);
  }
  await toldAll(phone);
  const told = factsOf(server.show).filter((f) => f.kind === "output_reading");
  same(told.map((f) => f.body.reading), ["unplugged", "2.97", "10.98"], "what was told");
  same(told[1].body.circuit, first, "from the first circuit on");
  await phone.locator(".metering [data-plug]").waitFor();
  same(await phone.locator(".metering input").count(), 0, "the next amplifier is asked for its plug");
  await phone.locator(".circuit[data-state=bad]").first().waitFor();
  same(await phone.evaluate(() => document.documentElement.scrollWidth <= innerWidth), true, "it fits a phone");
  for (const box of await phone.locator(".circuit, .metering button, .answer").evaluateAll((all) => all.map((e) => e.getBoundingClientRect().height))) {
    good(box >= 48, `a target of ${box} px`);
  }
  // What feeds a zone has a state of its own, and its tone is told where it stands
  const drive = phone.locator('.drive[data-drive="drive 5"]');
  same(await drive.getAttribute("data-state"), "unproven", "a drive line nobody has looked at");
  await drive.locator("summary").tap();
  await drive.locator(".caution").waitFor();
  await drive.locator('[data-reading="tone=low"]').tap();
  await phone.locator('.drive[data-drive="drive 5"][data-state=bad]').waitFor();
  same(await phone.evaluate(() => document.documentElement.scrollWidth <= innerWidth), true, "an open drive line fits a phone");
  const desk = await device(DESK);
  await open(desk, server, "house", "#/outputs/8.2");
  await desk.locator(".out-head").waitFor();
  good((await desk.locator(".plainlist").textContent()).includes("11.0") || (await desk.locator(".plainlist").textContent()).includes("10.9"), "the odds");
  await to(desk, "#/outputs/1.3L");
  await desk.locator(".out-head").waitFor();
  same(await desk.locator(".ohms").count(), 0, "nothing to type where it may be live");
});
