// SPDX-License-Identifier: GPL-3.0-or-later
//
// What belongs to the device and not to the show: its light, its size of words, whether its screen
// stays awake. Remembered on the device.
//
// Awake: a secure context has a wake lock. Plain HTTP on a stage network has none; there, a small
// video that plays without sound keeps a screen on in most browsers, which is all the page says of it. It shows a still picture
// which this page draws itself. Where not even that plays, the page says which setting to change.

import { effect, signal } from "@preact/signals";
import { keep, kept } from "./kept";

export const THEMES = ["dark", "daylight", "red"] as const;
export type Theme = (typeof THEMES)[number];

const asked = kept("theme") as Theme | null;
export const theme = signal<Theme>(
  asked && THEMES.includes(asked) ? asked : matchMedia("(prefers-color-scheme: light)").matches ? "daylight" : "dark",
);
export const SIZES = [85, 100, 115, 130, 150, 175] as const;
const LARGE = 130; // Above this a phone has no room for things side by side
export const size = signal<number>(Number(kept("size")) || 100);
export const box = signal<string>(kept("box") ?? "");

export function deviceStart(): void {
  effect(() => {
    document.documentElement.dataset.theme = theme.value;
    keep("theme", theme.value);
  });
  effect(() => {
    document.documentElement.style.fontSize = size.value + "%";
    document.documentElement.dataset.words = size.value > LARGE ? "large" : "";
    keep("size", String(size.value));
  });
  effect(() => keep("box", box.value));
  addEventListener("pointerdown", () => void stayAwake(), { passive: true });
  addEventListener("keydown", () => void stayAwake(), { passive: true });
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden && awake.value === "on") {
      lock = null;
      awake.value = "ask";
    }
  });
}

export const awake = signal<"ask" | "on" | "tries" | "fails">("ask");
let lock: WakeLockSentinel | null = null;
let still: HTMLVideoElement | null = null;
let trying = false;

async function stayAwake(): Promise<void> {
  if (awake.value !== "ask" || trying) return;
  trying = true;
  try {
    if ("wakeLock" in navigator) {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => {
        if (awake.value === "on") awake.value = "ask";
      });
      awake.value = "on";
      return;
    }
  } catch {
    // Refused (battery saver): the video may still do
  } finally {
    trying = false;
  }
  awake.value = (await playStill()) ? "tries" : "fails";
}

async function playStill(): Promise<boolean> {
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = 16;
  const pen = canvas.getContext("2d");
  if (!pen || !("captureStream" in canvas)) return false;
  let shade = 0;
  const draw = (): void => {
    pen.fillStyle = `rgb(${shade},${shade},${shade})`;
    pen.fillRect(0, 0, 16, 16);
    shade ^= 1;
  };
  draw();
  try {
    still ??= document.createElement("video");
    still.className = "still";
    still.muted = true;
    still.setAttribute("playsinline", "");
    still.setAttribute("aria-hidden", "true");
    still.tabIndex = -1;
    still.srcObject = canvas.captureStream(2);
    document.body.append(still);
    setInterval(draw, 1000);
    await still.play();
    return true;
  } catch {
    still?.remove();
    still = null;
    return false;
  }
}
