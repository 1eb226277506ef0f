// SPDX-License-Identifier: GPL-3.0-or-later
//
// node test/browser.mjs: the page in a real browser before the program itself. LINEWALK names the
// program, DEMO the demo lists, SHOTS a folder for pictures; ONLY=WORDS picks cases. Ends
// "N passed, N failed".
import { closing } from "./page/harness.mjs";

for (const part of ["rescue", "radio", "prove", "change", "desk", "forecast", "screens", "outputs", "paper", "later"]) await import(`./page/${part}.mjs`);
await closing();
