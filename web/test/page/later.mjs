// SPDX-License-Identifier: GPL-3.0-or-later
//
// The page comes in parts: what is not there yet says so and comes by itself; what came stays when the
// radio goes.
import { check, good, newShow, open, PHONE, same, serve, to } from "./harness.mjs";

await check("a part that does not come says so, comes by itself, and stays without radio", async (device) => {
  const server = await serve(newShow());
  const phone = await device(PHONE);
  await phone.route("**/a/work-*", (r) => r.abort());
  await open(phone, server, "stage", "#/change/act2/act3");
  good(/has not reached this device/.test(await phone.locator("[data-later=fails]").textContent()), "it says so");
  await phone.locator(".tabs a").first().tap();
  await phone.locator(".row").first().waitFor();
  await to(phone, "#/prove");
  await phone.locator("[data-later=fails]").waitFor();
  await phone.unroute("**/a/work-*");
  await phone.locator(".hows").waitFor();

  // The rest comes after it, quietly; then the radio goes
  await phone.waitForFunction(() => document.documentElement.dataset.parts === "all");
  await server.stop();
  for (const [hash, there] of [["#/compare", ".compare"], ["#/sign/45", ".sign-make"], ["#/outputs", ".outputs"], ["#/me", ".keys"]]) {
    await to(phone, hash);
    await phone.locator(there).waitFor();
  }
  same(await phone.locator("[data-later]").count(), 0, "no part is missing");
});
