// SPDX-License-Identifier: GPL-3.0-or-later
import "./queue";
import "./parts";
import "./prove";
import "./change";
import "./later";
import { closing } from "./check";

void closing().then((failed) => {
  (globalThis as unknown as { process: { exitCode: number } }).process.exitCode = failed ? 1 : 0;
});
