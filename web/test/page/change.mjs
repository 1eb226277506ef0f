// SPDX-License-Identifier: GPL-3.0-or-later
//
// Act 2 to 3 to 4, two people on stage with phones, the desks at theirs; a tail dies on the way.
// Everybody does what his screen says and nobody asks anybody.
import { calm, check, DESK, factsOf, good, long, newShow, open, PHONE, same, serve, to, toldAll } from "./harness.mjs";

const left = async (page) => Number(await page.locator(".tallyline").getAttribute("data-left"));
const ticked = (page) => page.locator(".chlist .is-done").count();

/// Does the steps of whoever this device shows, up to `most`, that wait for nobody: a finger on the
/// large key, whichever step stands there. How many were done.
async function works(page, most = 99) {
  const before = await ticked(page);
  for (;;) {
    const n = (await ticked(page)) - before;
    if (n >= most) return n;
    const found = await page.waitForFunction(() => {
      const key = document.querySelector(".tickbig");
      if (document.querySelector("[data-change=done]") || key?.matches(".early, [disabled]")) return {};
      if (!key || getComputedStyle(key).pointerEvents === "none") return null;
      key.scrollIntoView({ block: "center" });
      const box = key.getBoundingClientRect();
      return { step: key.dataset.tick, x: box.x + box.width / 2, y: box.y + box.height / 2 };
    });
    const { step, x, y } = await found.jsonValue();
    if (!step) return n;
    await page.touchscreen.tap(x, y);
    await page.locator(`.tickbig[data-tick="${step}"]`).waitFor({ state: "detached" });
  }
}

async function as(page, person) {
  if (await page.locator(".who-picks").isVisible()) if (!(await page.locator(".people").isVisible())) await page.locator(".who-picks").tap();
  await page.locator(`[data-person="${person}"]`).tap();
  await page.locator(`[data-person="${person}"][aria-pressed=true]`).waitFor({ state: "attached" });
}

await check("act 2 to 3 to 4 by two phones, a tail dying on the way", async (device) => {
  const show = newShow();
  const server = await serve(show);
  const desk = await device({ ...DESK, hasTouch: true });
  const one = await device(PHONE);
  const two = await device(PHONE);
  await open(desk, server, "house", "#/change/act2/act3");
  await open(one, server, "stage", "#/change/act2/act3");
  await open(two, server, "stage", "#/change/act2/act3");
  const people = await desk.locator("[data-person]").evaluateAll((all) => all.map((b) => [b.dataset.person, b.textContent]));
  const desks = people.filter(([, says]) => !/stage/.test(says)).map(([p]) => p);
  const hands = people.filter(([, says]) => /stage/.test(says)).map(([p]) => p);
  const deskWork = async () => {
    for (const d of desks) {
      await as(desk, d);
      await works(desk);
    }
  };

  // No plug before every desk has muted; then both phones see it without a word
  await as(one, hands[0]);
  await as(two, hands[1]);
  await one.locator(".waits-for").waitFor();
  same(await one.locator(".tickbig").isDisabled(), true, "no tick before the desks");
  // One desk is heard saying so: both phones know it, and the desk need not tell it
  const gate = (await one.locator("[data-heard]").first().getAttribute("data-heard")) ?? "";
  await one.locator(`[data-heard="${gate}"]`).tap();
  for (const p of [one, two]) await p.locator(`[data-heard="${gate}"]`).waitFor({ state: "detached" });
  // Another step is gone on with all the same, which is written down; the rest still waits
  await one.locator(".chlist .is-shut .tick").last().tap();
  const early = (await one.locator("[data-anyway]").getAttribute("data-anyway")) ?? "";
  await one.locator(`[data-anyway="${early}"]`).tap();
  await one.locator(`.tickbig[data-tick="${early}"]:not([disabled])`).waitFor();
  await one.locator(".change", { hasText: `${early} was gone on with` }).waitFor();
  await deskWork();
  for (const p of [one, two]) await p.locator(".tickbig:not([disabled])").waitFor();

  // One ticks, the other and the desk see it; a slip is taken back
  await calm(one);
  await calm(two);
  const before = await left(two);
  same(await works(one, 2), 2, "two steps of one");
  await two.waitForFunction((n) => Number(document.querySelector(".tallyline")?.dataset.left) === n - 2, before);
  await one.locator(".chlist .is-done .tick").last().tap();
  await two.waitForFunction((n) => Number(document.querySelector(".tallyline")?.dataset.left) === n - 1, before);
  await one.locator(".tickbig:not([disabled])").waitFor();

  // The tail of a box dies: whose steps change is told what is new and what is gone
  const box = (await two.locator(".chlist li:not(.is-done)").last().getAttribute("data-step"))?.[0];
  await works(two, 1);
  await two.locator(".brk").tap();
  const dies = (await two.locator("[data-tape^=tail]").getAttribute("data-tape")) ?? "";
  await two.locator("[data-tape^=tail]").tap();
  good(/^tail [A-D]$/.test(dies) && box, dies);
  await two.locator(".news, .chlist").first().waitFor();
  const told = await Promise.race([one, two].map((p) => p.locator(".news").waitFor().then(() => p.locator(".news").evaluate((el) => [Number(el.dataset.new), Number(el.dataset.gone) + Number(el.dataset.went)]))));
  good(told[0] + told[1] > 0, `${told[0]} new, ${told[1]} gone`);
  for (const p of [one, two]) await calm(p);
  for (const p of [one, two]) if (await p.locator("[data-news=seen]").count()) await p.locator("[data-news=seen]").tap();

  // A cable dies too: the step that stands there says to take another
  await calm(one);
  while ((await one.locator(".chstep").getAttribute("data-does")) !== "plug") good((await works(one, 1)) === 1, "on to a plug");
  await one.locator(".brk").tap();
  const cable = (await one.locator("[data-tape^=cable]").getAttribute("data-tape")) ?? "";
  await one.locator("[data-tape^=cable]").tap();
  await one.locator(".chstep .say", { hasText: cable }).waitFor();

  // Who is done is offered what the third has not begun, takes it and gives it back
  for (let turn = 0; turn < 4 && !(await one.locator("[data-take]").count()); ++turn) {
    await deskWork();
    for (const p of [one, two]) {
      await calm(p);
      await works(p);
    }
    await calm(one);
  }
  await one.locator("[data-take]").tap();
  await one.locator("[data-giveback]").tap();
  await one.locator("[data-take]").waitFor();

  // On to the end of it, whoever is free taking the third list
  const finish = async () => {
    for (let turn = 0; turn < 12 && (await left(desk)) > 0; ++turn) {
      for (const p of [desk, one, two]) await calm(p);
      await deskWork();
      for (const h of hands) {
        await as(h === hands[1] ? two : one, h);
        await works(h === hands[1] ? two : one);
      }
    }
    await desk.waitForFunction(() => document.querySelector(".tallyline")?.dataset.left === "0");
  };
  await finish();
  await as(desk, desks[0]);
  await desk.locator("[data-now=act3]").tap();
  await desk.locator(".act", { hasText: "act 3" }).waitFor();

  for (const p of [desk, one, two]) await to(p, "#/change/act3/act4");
  for (const p of [desk, one, two]) await calm(p);
  if (long) await finish();
  else {
    // The whole of it in make long; here that it begins anew for everybody
    const all = await left(one);
    await deskWork();
    await as(one, hands[0]);
    await calm(one);
    good((await works(one, 3)) === 3 && (await left(one)) < all, "on to act 4");
  }
  for (const p of [desk, one, two]) await toldAll(p);
  const facts = factsOf(show);
  same(facts.filter((f) => f.kind === "taped_off").map((f) => f.body.item), [dies, cable], "tail and cable are taped off");
  const steps = facts.filter((f) => f.kind === "change_step").map((f) => f.body.step);
  for (const step of ["heard mute", "anyway", "take"]) good(steps.includes(step), step);
  good(facts.filter((f) => f.kind === "plugged").length > (long ? 40 : 20), "plugs were told");
  good((await ticked(one)) > 0, "the list stays as it was done");
});

await check("a way round taken on stage: each desk is told what to do, and says that it did", async (device) => {
  const server = await serve(newShow([["45", "level=nothing", "--at", "foh"]]));
  const stage = await device(PHONE);
  const house = await device(DESK);
  await open(house, server, "house", "#/clock");
  await open(stage, server, "stage", "#/line/45");
  await stage.locator(".way button").first().tap();
  const asked = house.locator("[data-follow='45']");
  await asked.waitFor();
  good(((await asked.textContent()) ?? "").length > 20, "what to do is said");
  await house.locator("[data-followed='45']").click();
  await asked.waitFor({ state: "detached" });
  await toldAll(house);
  await calm(house);
  same(await house.locator("[data-follow]").count(), 0, "asked no more");
  same(factsOf(server.show).filter((f) => f.kind === "step_done").map((f) => [f.body.line, f.body.at]), [[45, "foh"]], "one fact");
});
