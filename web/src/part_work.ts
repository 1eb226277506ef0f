// SPDX-License-Identifier: GPL-3.0-or-later
//
// A part of the page (later.tsx): work for the whole stage, proving lines, changing over, the sign.

export { ChangeScreen } from "./view/change";
export { HuntScreen } from "./view/hunt";
export { PassScreen, ProveScreen } from "./view/prove";
export { SignScreen } from "./view/sign";
