// SPDX-License-Identifier: GPL-3.0-or-later
//
// Cases by name; what they say in the end is what tests/run sums.

let passed = 0;
let failed = 0;
const waits: Promise<void>[] = [];

export function same(got: unknown, want: unknown, what = ""): void {
  const g = JSON.stringify(got);
  const w = JSON.stringify(want);
  if (g !== w) throw new Error(`${what} got ${g}, want ${w}`);
}

let last: Promise<void> = Promise.resolve();
export function check(name: string, run: () => void | Promise<void>): void {
  last = last.then(async () => {
    try {
      await run();
      ++passed;
    } catch (e) {
      ++failed;
      console.log(`FAIL ${name}: ${e instanceof Error ? e.message : String(e)}`);
    }
  });
  waits.push(last);
}

export async function closing(): Promise<number> {
  await Promise.all(waits);
  console.log(`${passed} passed, ${failed} failed`);
  return failed;
}
