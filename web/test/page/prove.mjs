// SPDX-License-Identifier: GPL-3.0-or-later
//
// Lines proven before doors: all 48 by taps on one phone, the radio gone for a box of them; and by
// two, one with the walked microphone, one at the desk.
import { check, DESK, factsOf, good, newShow, open, passFacts, PHONE, same, serve, to, toldAll, toldTo } from "./harness.mjs";

const here = (phone) => phone.locator(".nowat b").textContent();
const goodOnes = async (phone, n) => {
  for (let i = 0; i < n; ++i) await phone.locator(".isgood").tap();
};

await check("48 lines proven by taps from a phone alone", async (device) => {
  const show = newShow();
  const server = await serve(show);
  const phone = await device(PHONE);
  await open(phone, server, "stage", "#/steps");
  await phone.locator(".works [href='#/prove']").tap();
  await phone.locator("[data-how=lamp]").tap();

  // Nothing is plugged before the caution stands there and everybody has muted
  await phone.locator(".before .caution", { hasText: "Stage:" }).waitFor();
  same(await phone.locator(".boxes").count(), 0, "no box before everybody is ready");
  for (const place of ["foh", "mon", "broadcast", "stage"]) await phone.locator(`.before [data-ready=${place}]`).tap();
  await phone.locator(".boxes [data-box=A]").tap();

  // Box A: one after the other; a slip taken back, a fault, one put off, three gone past
  await goodOnes(phone, 4);
  same(await here(phone), "A5", "a tap a line");
  await phone.locator("[data-undo]").tap();
  same(await here(phone), "A4", "taken back");
  await phone.locator(".notgood").tap();
  await phone.locator(".elses [data-else='...']").first().tap();
  await phone.locator(".put-off").tap();
  same(await here(phone), "A6", "on after a fault and after what was put off");
  await phone.locator(".tile[data-line='9']").tap();
  await phone.locator("[data-gaps=good]").tap();
  await goodOnes(phone, 8);
  await phone.locator("[data-done=A]").waitFor();
  await phone.locator("[data-back='5']").tap();
  await goodOnes(phone, 1);
  const said = (await phone.locator(".boxdone .say").textContent()) ?? "";
  good(/15 good/.test(said) && /A4/.test(said), `in one breath: ${said}`);

  // Box B without radio: nothing waits, and a page loaded anew goes on where it was
  await toldAll(phone);
  await phone.route("**/api/1/facts", (r) => r.abort());
  await phone.locator("[data-next=B]").tap();
  await goodOnes(phone, 12);
  await phone.locator("[data-done=B]").waitFor();
  await phone.locator("[data-age=waits]", { hasText: "12 waiting" }).waitFor();
  await phone.reload();
  await phone.locator("[data-done=B]").waitFor();
  await phone.unroute("**/api/1/facts");

  for (const [box, n] of [["C", 12], ["D", 8]]) {
    await phone.locator(`[data-next=${box}]`).tap();
    await goodOnes(phone, n);
    await phone.locator(`[data-done=${box}]`).waitFor();
  }
  await phone.locator("[data-next='']").tap();
  const all = (await phone.locator(".breath").textContent()) ?? "";
  good(/47 good/.test(all) && /A4/.test(all), `the whole in one breath: ${all}`);
  await toldAll(phone);

  const facts = factsOf(show);
  const taken = new Set(facts.filter((f) => f.kind === "voided").map((f) => f.body.id));
  const told = facts.filter((f) => f.kind === "reading" && !taken.has(f.id));
  same(told.map((f) => f.body.line).sort((a, b) => a - b), Array.from({ length: 48 }, (_, i) => i + 1), "each line once");
  same(told.filter((f) => f.body.reading === "...").map((f) => f.body.line), [4], "the fault");
});

await check("a walked microphone and a desk: who is ready, who hears what", async (device) => {
  const show = newShow();
  const server = await serve(show);
  const stage = await device(PHONE);
  const house = await device(DESK);
  await open(stage, server, "stage", "#/pass");
  await open(house, server, "house", "#/lines");
  await stage.locator("[data-how=microphone]").tap();
  // The desk is asked on the screen it has open; the others are called, and stage notes their answer
  await house.locator(".asks [data-ready=foh]").click();
  await stage.locator("[data-ready=foh][aria-pressed=true]").waitFor();
  for (const place of await stage.locator("[data-ready][aria-pressed=false]").evaluateAll((all) => all.map((b) => b.dataset.ready))) await stage.locator(`[data-ready=${place}]`).tap();
  await stage.locator(".boxes [data-box=D]").tap();
  await to(house, "#/prove/D");
  await house.locator(".isgood").waitFor();

  // The desk answers, by keys too; stage goes along
  await house.locator(".isgood").click();
  await stage.locator(".nowat b", { hasText: "D2" }).waitFor();
  await house.keyboard.press("Shift+Digit1");
  await stage.locator(".nowat b", { hasText: "D3" }).waitFor();

  // Two plugs swapped are noticed
  for (const on of [44, 43]) {
    await house.locator(".notgood").click();
    await house.locator("[data-else=wrong]").click();
    await house.locator(`.tile[data-line='${on}']`).click();
  }
  await house.locator(".warn", { hasText: "D3 and D4" }).waitFor();
  await stage.locator(".warn", { hasText: "D3 and D4" }).waitFor();
  await stage.locator(".call").tap();
  await house.locator(".unseen p", { hasText: "line 45" }).waitFor();
  await toldAll(house);
  same(
    factsOf(show).filter((f) => f.kind === "reading").map((f) => [f.body.line, f.body.reading, f.body.at]),
    [[41, "normal", "foh"], [42, "normal", "foh"], [43, "on 44", "foh"], [44, "on 43", "foh"]],
    "what the house desk heard",
  );
});

await check("a phone that joins late goes on where the pass stands", async (device) => {
  const server = await serve(newShow());
  const phone = await device(PHONE);
  await toldTo(phone, server, [...passFacts("lamp"), ...[41, 42, 43].map((line) => ({ verb: "saw", line, check: "lamps", reading: "GG.", at: "socket", act: "bare lines" }))]);
  await open(phone, server, "stage", "#/prove/D");
  await phone.locator(".nowat b", { hasText: "D4" }).waitFor();
});
