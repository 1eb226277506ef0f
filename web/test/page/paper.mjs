// SPDX-License-Identifier: GPL-3.0-or-later
//
// Paper before it is printed: the page shows what the PDF will be, within the page's own security
// policy, and the PDF opens; a code on a label leads to its line.
import { check, DESK, good, newShow, open, PHONE, same, serve } from "./harness.mjs";

await check("paper is looked at before it is printed", async (device) => {
  const server = await serve(newShow());
  const desk = await device(DESK);
  const refused = [];
  desk.on("console", (m) => /Content Security Policy/.test(m.text()) && refused.push(m.text()));
  await open(desk, server, "house", "#/paper");
  await desk.locator("[data-sheet=patch]").click();
  const drawn = () => desk.waitForFunction(() => { const i = document.querySelector("img.sheet"); return i && i.complete && i.naturalWidth > 100; });
  await drawn();
  const first = await desk.locator("img.sheet").getAttribute("src");
  good(first.includes("picture=1"), first);
  // The picture is black on white where the sheet has its heading, not an empty one
  const dark = await desk.evaluate(() => {
    const i = document.querySelector("img.sheet");
    const c = document.createElement("canvas");
    c.width = 400; c.height = Math.round(400 * i.naturalHeight / i.naturalWidth);
    const g = c.getContext("2d");
    g.drawImage(i, 0, 0, c.width, c.height);
    const d = g.getImageData(0, 0, c.width, c.height).data;
    let n = 0;
    for (let k = 0; k < d.length; k += 4) n += d[k] < 100;
    return n / (d.length / 4);
  });
  good(dark > 0.02 && dark < 0.3, `black is ${dark} of the picture`);
  await desk.getByRole("button", { name: "Next page" }).click();
  await desk.waitForFunction(() => document.querySelector("img.sheet")?.getAttribute("src").includes("picture=2"));
  await drawn();
  await desk.locator("[data-pick=act3]").click();
  await desk.waitForFunction(() => document.querySelector("img.sheet")?.getAttribute("src").includes("act=act3"));
  const to = await desk.locator("[data-open]").getAttribute("href");
  const got = await desk.evaluate(async (at) => {
    const r = await fetch(at);
    return [r.status, r.headers.get("content-type"), (await r.text()).slice(0, 5)];
  }, to);
  same(got, [200, "application/pdf", "%PDF-"], to);
  same(refused, [], "what the security policy refused");
  const phone = await device(PHONE);
  await open(phone, server, "stage", "#45");
  await phone.locator("[data-line='45'], .plate").first().waitFor();
  good((await phone.locator("#main").textContent()).includes("45"), "the line of the code");
});
