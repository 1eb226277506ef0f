// SPDX-License-Identifier: GPL-3.0-or-later
//
// Everything at a desk by keyboard, the sign, and the first run.
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { calm, check, demo, DESK, factsOf, good, newShow, open, passFacts, PHONE, same, serve, slowFingers, to, toldAll, toldTo } from "./harness.mjs";

const focused = (page) =>
  page.evaluate(() => {
    const el = document.activeElement;
    const style = el ? getComputedStyle(el) : null;
    return { tag: el?.tagName, class: String(el?.className ?? ""), seen: style ? style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2 : false };
  });

await check("a rescue with nothing but keys", async (device) => {
  const server = await serve(newShow([["45", "level=nothing", "--at", "foh"]]));
  const page = await device(DESK);
  await slowFingers(page);
  await open(page, server, "house");
  await page.locator(".row").first().waitFor();
  await page.keyboard.type("45");
  good(await page.locator(".typed").isVisible(), "the number shows while it is typed");
  await page.keyboard.press("Enter");
  // Once it is the step of now and was there for a moment, as before a tap
  await page.waitForFunction(() => {
    const answer = document.querySelector(".step.first:not([aria-busy]) .answer");
    return answer && getComputedStyle(answer).pointerEvents !== "none";
  });
  const first = await page.locator(".step.first .answer").first().getAttribute("data-reading");
  await page.keyboard.press("Shift+Digit1");
  await page.locator(".history li:nth-child(2)").waitFor();
  await toldAll(page);
  const told = factsOf(server.show).filter((f) => f.kind === "reading");
  same(told.at(-1).body.reading, first, "the first answer was told");
  for (const [key, at] of [["c", ".clock"], ["w", ".talk"], ["s", ".mysteps"], ["g", ".sign-make"], ["l", ".all"]]) {
    await page.keyboard.press(key);
    await page.locator(at).waitFor();
  }
  await page.locator(".row").first().waitFor();
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("ArrowDown");
  same((await focused(page)).class.includes("row"), true, "arrows go from row to row");
  await page.keyboard.press("Enter");
  await page.locator(".plate").waitFor();
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction(() => location.hash === "#/line/3");
  await page.keyboard.press("Escape");
  await page.locator(".all").waitFor();
  await page.keyboard.type("999");
  await page.keyboard.press("Escape");
  same(await page.locator(".typed").count(), 0, "Escape stays");
});

await check("every control is reached by Tab, with its focus seen", async (device) => {
  const server = await serve(newShow([["45", "level=nothing", "--at", "foh"]]));
  const page = await device(DESK);
  await toldTo(page, server, passFacts("lamp"));
  await open(page, server, "house", "#/line/45");
  for (const [hash, ready] of [["#/line/45", ".step.first"], ["#/steps", ".mysteps"], ["#/talk", ".talk"], ["#/sign", ".sign-make"], ["#/clock", ".acts"], ["#/me", ".keys"], ["#/prove", ".boxes"], ["#/prove/D", ".entry"], ["#/change/act2/act3", ".tickbig"]]) {
    await to(page, hash);
    await page.locator(ready).first().waitFor();
    await calm(page);
    await page.evaluate(() => {
      document.activeElement?.blur?.();
      window.met = [];
      const everything = [...document.querySelectorAll("*")];
      window.focusing?.abort();
      window.focusing = new AbortController();
      addEventListener(
        "focusin",
        ({ target }) => {
          const style = getComputedStyle(target);
          const seen = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
          window.met.push({ nth: everything.indexOf(target), what: `${target.tagName}.${target.className}`, seen });
        },
        { signal: window.focusing.signal },
      );
    });
    const all = await page.locator("a[href]:visible, button:not([disabled]):visible, select:visible, input:visible, summary:visible").count();
    for (let i = 0; i < all + 6; ++i) await page.keyboard.press("Tab");
    const met = await page.evaluate(() => window.met);
    for (const f of met) good(f.seen, `${hash}: focus on ${f.what} is not seen`);
    const reached = new Set(met.map((f) => f.nth)).size;
    good(reached >= all, `${hash}: ${reached} of ${all} reached by Tab`);
  }
});

await check("the sign asks where it looks before it is lit", async (device) => {
  const server = await serve(newShow());
  const phone = await device(PHONE);
  await open(phone, server, "stage", "#/sign/45");
  await phone.locator("[data-sign=show]").tap();
  await phone.locator("[data-sign=audience]").waitFor();
  same(await phone.locator(".lit").count(), 0, "not lit yet");
  await phone.locator("[data-sign=audience]").tap();
  await phone.locator("[data-sign=audience]").waitFor({ state: "detached" });
  same(await phone.locator(".lit").count(), 0, "not towards the audience");
  await phone.locator("[data-answer=YES]").tap();
  await phone.locator("[data-sign=stage]").tap();
  await phone.locator(".lit").waitFor();
  const box = await phone.locator(".lit").boundingBox();
  good(box.width >= 359 && box.height >= 739, "it fills the screen");
  same(await phone.locator(".lit span").textContent(), "YES", "the answer");
  // Half a second dark, half a second lit: one flash a second
  const slow = await phone.evaluate(() => {
    const el = document.querySelector(".lit");
    el.classList.add("slow");
    return getComputedStyle(el).animationDuration;
  });
  good(parseFloat(slow) >= 1 / 3, `a flash takes ${slow}`);
  await phone.locator(".lit").tap();
  await phone.locator(".lit").waitFor({ state: "detached" });
});

await check("first run: the crew's lists, dropped in", async (device) => {
  const server = await serve(null);
  const page = await device(DESK);
  await page.goto(server.address);
  await page.locator(".drop").waitFor();
  const lists = readdirSync(demo).filter((f) => f.endsWith(".csv")).map((f) => join(demo, f));
  await page.locator(".drop input").setInputFiles(lists);
  await page.locator(".first .say", { hasText: "48 lines, 4 boxes, 4 acts" }).waitFor();
  await page.locator(".first .go", { hasText: "Take" }).click();
  await page.locator(".row[data-line='48']").waitFor();
});

await check("first run: a list with a fault is mended in place", async (device) => {
  const server = await serve(null);
  const page = await device(DESK);
  await page.goto(server.address);
  await page.locator(".drop input").setInputFiles({ name: "inputs.csv", mimeType: "text/csv", buffer: Buffer.from("channel,source\n1,kick\n1,snare,\"open\n") });
  await page.locator(".mend textarea").waitFor();
  await page.locator(".mend textarea").fill("channel,source\n1,kick\n2,snare\n");
  await page.locator(".mend .go").click();
  await page.locator(".first .say").waitFor();
  await page.locator(".first .go", { hasText: "Take" }).click();
  await page.locator(".row").first().waitFor();
});

await check("first run: a number of lines", async (device) => {
  const server = await serve(null);
  const page = await device(PHONE);
  await page.goto(server.address);
  await page.locator(".begin input").fill("24");
  await page.locator(".begin .wideb").first().tap();
  await page.locator(".row[data-line='24']").waitFor();
  same(await page.locator(".row").count(), 24, "lines");
});

await check("what people write is shown as text", async (device) => {
  const server = await serve(newShow());
  const house = await device(DESK);
  const stage = await device(PHONE);
  await open(house, server, "house", "#/talk");
  await open(stage, server, "stage", "#/talk");
  const text = "<img src=x onerror=\"document.title='hit'\"><b>bold</b>";
  await house.locator("[data-to=stage]").click();
  await house.locator(".compose input").fill(text);
  await house.locator(".compose form button").click();
  await stage.locator(".said p", { hasText: "<b>bold</b>" }).waitFor();
  same(await stage.title(), "Linewalk", "nothing ran");
  same(await stage.locator(".said img, .said b").count(), 0, "nothing was made of it");
});

await check("compare: what disagrees, and a desk read back", async (device) => {
  const server = await serve(newShow());
  const page = await device(DESK);
  await open(page, server, "house", "#/compare");
  await page.locator(".differ").first().waitFor();
  await page.locator(".readback [data-line]").waitFor();
  const first = Number(await page.locator(".readback [data-line]").getAttribute("data-line"));
  await page.locator("[data-read=same]").click();
  await page.waitForFunction((l) => Number(document.querySelector(".readback [data-line]")?.dataset.line) !== l, first);
  const second = Number(await page.locator(".readback [data-line]").getAttribute("data-line"));
  const differs = page.locator(".readback [data-differs^='48']");
  const what = await differs.getAttribute("data-differs");
  await differs.click();
  await page.locator("[data-read=differs]").click();
  await page.locator(".differ", { hasText: String(second) }).first().waitFor();
  await toldAll(page);
  const told = factsOf(server.show).filter((f) => f.kind === "desk_read");
  same(told.map((f) => f.body.line), [first, second], "two channels read back");
  same(told[1].body.phantom, what === "48 on" ? "yes" : "no", "what differs");
});

await check("joining: the code from the address, a role, and what a wrong code says", async (device) => {
  const server = await serve(newShow());
  const phone = await device(PHONE);
  // As a phone on the stage network: this one is on the box itself, which needs no code
  let joined = false;
  await phone.route("**/api/1/me", async (r) => {
    const answer = await (await r.fetch()).json();
    await r.fulfill({ json: { ...answer, needs_code: !joined, joined, role: "stage", place: "stage" } });
  });
  await phone.route("**/api/1/join", async (r) => {
    const { code, role } = r.request().postDataJSON();
    joined = code === "ABC234" && role === "stage";
    await r.fulfill(joined ? { json: { format: 1 } } : { status: 403, json: { format: 1, error: "That is not the code of now." } });
  });
  await phone.goto(server.address + "#join=ABC235");
  await phone.locator("[data-role=stage]").tap();
  await phone.locator("[role=alert]", { hasText: "not the code" }).waitFor();
  await phone.locator("input.code").fill("ABC234");
  await phone.locator("[data-role=stage]").tap();
  await phone.locator(".mysteps").waitFor();
  same(await phone.evaluate(() => location.hash), "#/steps", "stage begins with its steps");
});

await check("the screen is kept awake after the first touch, without a secure context", async (device) => {
  const server = await serve(newShow());
  const phone = await device(PHONE);
  await phone.addInitScript(() => delete Navigator.prototype.wakeLock);
  await open(phone, server, "stage", "#/me");
  same(await phone.locator("video").count(), 0, "nothing plays before a touch");
  await phone.locator("h1").tap();
  await phone.waitForFunction(() => document.querySelector("video")?.paused === false);
  const video = await phone.evaluate(() => {
    const v = document.querySelector("video");
    return [v.muted, v.hasAttribute("playsinline")];
  });
  same(video, [true, true], "without sound, in the page");
  await phone.getByText("should stay awake now").waitFor();
  // Where that fails too, it says which setting to change
  const other = await device(PHONE);
  await other.addInitScript(() => {
    delete Navigator.prototype.wakeLock;
    HTMLMediaElement.prototype.play = () => Promise.reject(new Error("no"));
  });
  await open(other, server, "stage", "#/me");
  await other.locator("h1").tap();
  await other.getByText("lets the screen sleep").waitFor();
});
