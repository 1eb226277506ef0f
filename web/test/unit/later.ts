// SPDX-License-Identifier: GPL-3.0-or-later
import { Part } from "../../src/later";
import { check, same } from "./check";

check("a part is asked for until it comes, under another name each time, and once by whoever wants it", async () => {
  const asked: number[] = [];
  const part = new Part(async (nth) => {
    asked.push(nth);
    if (nth < 3) throw new Error("no radio");
    return "there";
  }, 1);
  const first = part.get();
  await new Promise((done) => setTimeout(done, 0));
  same([part.here.value, part.fails.value], [null, true], "while it does not come");
  await Promise.all([first, part.get(), part.get()]);
  same([part.here.value, part.fails.value], ["there", false], "when it came");
  await part.get();
  same(asked, [0, 1, 2, 3], "asked");
});
