// SPDX-License-Identifier: GPL-3.0-or-later
//
// A part of the page (later.tsx): the screens nobody needs in a hurry.

export { CompareScreen } from "./view/compare";
export { FirstRun } from "./view/first_run";
export { ForecastScreen } from "./view/forecast";
export { MeScreen } from "./view/me";
export { OutputsScreen } from "./view/outputs";
export { PaperScreen } from "./view/paper";
