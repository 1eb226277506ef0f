// SPDX-License-Identifier: GPL-3.0-or-later
//
// The rescue of the README by two devices: line 45 is silent because its plug went into D6. Nobody
// here knows; each device does what its screen says and answers what the stage would show.
import { check, DESK, factsOf, figure, good, newShow, open, passFacts, PHONE, same, serve, slowFingers, to, toldAll, toldTo } from "./harness.mjs";

// What each check shows while vocal lead is plugged into D6, and every desk is right
function truth(step) {
  const { check, readings, at } = step;
  const pick = (...wanted) => wanted.find((w) => readings.includes(w)) ?? null;
  if (check === "seen") return pick("on 46", "no");
  if (check === "level") return pick("nothing");
  if (check === "tone") return pick("nothing");
  if (check === "look" && /^(foh|mon|broadcast)/.test(at)) return pick("fine");
  if (check === "look") return pick("nothing", "vocal lead");
  if (check === "hunt") return pick("here");
  if (check === "swap plug") return pick("better");
  if (check?.startsWith("swap")) return pick("same");
  return null;
}

/// The step a page shows once it has all of the log in it; null where it shows that there is none. With `say`:
/// once it is that step.
async function stepOn(page, root, none, say = null) {
  const found = await page.waitForFunction(
    ([root, none, say]) => {
      const el = document.querySelector(`:is(${root}):not([aria-busy])`);
      if (!el) return document.querySelector(`:is(${none}):not([aria-busy])`) && { step: null };
      const step = {
        check: el.dataset.check,
        at: el.dataset.at,
        say: el.querySelector(".say")?.textContent ?? "",
        readings: [...el.querySelectorAll(".answer")].map((b) => b.dataset.reading),
      };
      return (say === null || step.say === say) && { step };
    },
    [root, none, say],
  );
  return (await found.jsonValue()).step;
}

await check("rescue of line 45 by a desk and a phone", async (device) => {
  const server = await serve(newShow());
  const desk = await device(DESK);
  const phone = await device(PHONE);
  await slowFingers(desk);
  await open(desk, server, "house");
  await open(phone, server, "stage", "#/steps");

  await desk.locator(".row[data-line='45']").waitFor();
  await desk.keyboard.type("45");
  await desk.keyboard.press("Enter");
  await desk.locator(".tell button[data-check=level][data-reading=nothing]").click();
  await desk.locator(".plate.s-bad").waitFor();

  let taps = 1;
  let sound = false;
  for (let turn = 0; turn < 12 && !sound; ++turn) {
    const step = await stepOn(desk, ".step.first", ".todo > .none");
    good(step, "there is a step while the line is bad");
    const atDesk = /^(foh|mon|broadcast)/.test(step.at);
    let page = desk;
    let root = ".step.first";
    if (!atDesk) {
      await stepOn(phone, ".bigstep", ".never", step.say); // Phone and desk show the same step
      page = phone;
      root = ".bigstep";
    }
    const reading = truth(step);
    good(reading, `the test knows what ${step.check} at ${step.at} shows (${step.readings.join(", ")})`);
    await page.locator(`${root} .answer[data-reading="${reading}"]`).first()[atDesk ? "click" : "tap"]();
    ++taps;
    await desk.locator(`.history li:nth-child(${turn + 2})`).waitFor();
    await desk.locator(".plate:not([aria-busy])").waitFor();
    sound = (await desk.locator(".plate.s-bad, .plate.s-suspect").count()) === 0;
  }
  good(sound, "there is sound in the end");
  figure("page_rescue_taps", taps, "taps");

  for (const at of ["foh", "mon", "broadcast"]) {
    await desk.locator(".tell .seg button").nth(["foh", "mon", "broadcast"].indexOf(at)).click();
    await desk.locator(".tell button[data-check=level][data-reading=normal]").click();
  }
  await desk.locator(".plate.s-proven").waitFor();
  await to(phone, "#/line/45");
  await phone.locator(".plate.s-proven").waitFor();
  await toldAll(desk);
  await toldAll(phone);
  const told = factsOf(server.show).filter((f) => f.kind === "reading" && f.body.line === 45);
  same(told.length, taps + 3, "every tap is one fact");
});

await check("two desks on one line see each other", async (device) => {
  const server = await serve(newShow());
  const house = await device(DESK);
  const monitors = await device(DESK);
  await open(house, server, "house", "#/line/7");
  await open(monitors, server, "monitors", "#/line/7");
  await monitors.locator(".plate").waitFor();
  await house.locator(".tell button[data-check=level][data-reading=low]").click();
  await monitors.locator(".history li").first().waitFor();
  await monitors.locator(".plate.s-bad").waitFor();
  await monitors.locator(".history li button").first().click();
  await house.locator(".history li.void").waitFor();
  await house.locator(".plate.s-unproven").waitFor();
});

await check("a line check by ear: what plays in the act, one tap a socket", async (device) => {
  const server = await serve(newShow());
  const phone = await device(PHONE);
  await toldTo(phone, server, passFacts("heard", "act2"));
  await open(phone, server, "stage", "#/prove/A");
  await phone.locator(".isgood").waitFor();
  const lines = await phone.locator(".tile").evaluateAll((all) => all.map((s) => Number(s.dataset.line)));
  good(lines.length > 4, "what act 2 plays in box A");
  for (const line of lines) {
    if (line !== lines[3]) await phone.locator(".isgood").tap();
    else {
      await phone.locator(".notgood").tap();
      await phone.locator("[data-else=no]").tap();
    }
  }
  await phone.locator("[data-done=A]").waitFor();
  await toldAll(phone);
  const told = factsOf(server.show).filter((f) => f.kind === "reading");
  same(told.map((f) => [f.body.line, f.body.reading, f.body.at, f.body.act]), lines.map((l, i) => [l, i === 3 ? "nothing" : "normal", "foh", "act2"]), "one reading a tap, in order");
});

await check("a message reaches its place and comes back seen", async (device) => {
  const server = await serve(newShow());
  const house = await device(DESK);
  const phone = await device(PHONE);
  await open(house, server, "house", "#/talk");
  await open(phone, server, "stage", "#/steps");
  await house.locator("[data-to=stage]").click();
  await house.locator("[data-say=intercom]").click();
  await phone.locator(".unseen.urgent button").tap();
  await house.locator(".seenby .icon").waitFor();
  await phone.locator(".unseen").waitFor({ state: "detached" });
});
