// SPDX-License-Identifier: GPL-3.0-or-later
//
// The crew page begins here: which screen an address means. What opens first is in here; the rarer
// screens come later.

import { effect } from "@preact/signals";
import { render } from "preact";
import "./style/page.css";
import { deviceStart } from "./device";
import { keysStart, Typed } from "./keys";
import { rest, work } from "./later";
import { route, routeStart } from "./route";
import { me, needsJoin, storeStart } from "./store";
import { AllLines } from "./view/all_lines";
import { ClockScreen } from "./view/clock";
import { codeFromAddress, Join } from "./view/join";
import { Later } from "./view/later";
import { LineScreen } from "./view/line";
import { useLines } from "./view/shell";
import { MySteps } from "./view/steps";
import { Talk } from "./view/talk";
import type { LineRow } from "./wire";
import { words } from "./words";

let known: readonly LineRow[] = [];

function Screen() {
  const to = route.value;
  switch (to.at) {
    case "line":
      return <LineScreen number={to.line} />;
    case "steps":
      return <MySteps />;
    case "prove":
      return <Later part={work} draw={(p) => <p.ProveScreen box={to.box} />} />;
    case "change":
      return <Later part={work} draw={(p) => <p.ChangeScreen from={to.from} to={to.to} />} />;
    case "hunt":
      return <Later part={work} draw={(p) => <p.HuntScreen number={to.line} />} />;
    case "pass":
      return <Later part={work} draw={(p) => <p.PassScreen />} />;
    case "sign":
      return <Later part={work} draw={(p) => <p.SignScreen number={to.line} />} />;
    case "talk":
      return <Talk />;
    case "clock":
      return <ClockScreen />;
    case "forecast":
      return <Later part={rest} draw={(p) => <p.ForecastScreen />} />;
    case "compare":
      return <Later part={rest} draw={(p) => <p.CompareScreen />} />;
    case "paper":
      return <Later part={rest} draw={(p) => <p.PaperScreen what={to.what} />} />;
    case "outputs":
      return <Later part={rest} draw={(p) => <p.OutputsScreen name={to.name} />} />;
    case "me":
      return <Later part={rest} draw={(p) => <p.MeScreen />} />;
    case "lines":
      return <AllLines box={to.box} />;
  }
}

function KnownLines() {
  known = useLines()?.lines ?? known;
  return null;
}

function Page() {
  if (needsJoin.value) return <Join />;
  if (me.value?.empty) return <Later part={rest} draw={(p) => <p.FirstRun />} />;
  return (
    <>
      <KnownLines />
      <Screen />
      <Typed />
    </>
  );
}

// The parts come once the first screen had a moment for itself
const QUIET_MS = 700;
const idle = window.requestIdleCallback ?? ((run: () => void) => setTimeout(run, QUIET_MS));
const begun = effect(() => {
  if (me.value === null) return;
  setTimeout(() => {
    begun();
    idle(() => void work.get().then(() => rest.get()).then(() => (document.documentElement.dataset["parts"] = "all")), { timeout: 3000 });
  }, QUIET_MS);
});

codeFromAddress();
deviceStart();
routeStart();
keysStart(() => known);
render(<Page />, document.getElementById("page") as HTMLElement);
void storeStart({ toldGood: words.toldGood, toldWaits: words.toldWaits, refused: words.refused });
