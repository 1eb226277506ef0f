// SPDX-License-Identifier: GPL-3.0-or-later
//
// The crew page begins here: which screen an address means.

import { render } from "preact";
import "./style/page.css";
import { deviceStart } from "./device";
import { keysStart, Typed } from "./keys";
import { route, routeStart } from "./route";
import { me, needsJoin, storeStart } from "./store";
import { AllLines } from "./view/all_lines";
import { ChangeScreen } from "./view/change";
import { ClockScreen } from "./view/clock";
import { CompareScreen } from "./view/compare";
import { ForecastScreen } from "./view/forecast";
import { FirstRun } from "./view/first_run";
import { HuntScreen } from "./view/hunt";
import { codeFromAddress, Join } from "./view/join";
import { LineScreen } from "./view/line";
import { MeScreen } from "./view/me";
import { PassScreen, ProveScreen } from "./view/prove";
import { OutputsScreen } from "./view/outputs";
import { PaperScreen } from "./view/paper";
import { useLines } from "./view/shell";
import { SignScreen } from "./view/sign";
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
      return <ProveScreen box={to.box} />;
    case "change":
      return <ChangeScreen from={to.from} to={to.to} />;
    case "hunt":
      return <HuntScreen number={to.line} />;
    case "pass":
      return <PassScreen />;
    case "sign":
      return <SignScreen number={to.line} />;
    case "talk":
      return <Talk />;
    case "clock":
      return <ClockScreen />;
    case "forecast":
      return <ForecastScreen />;
    case "compare":
      return <CompareScreen />;
    case "paper":
      return <PaperScreen what={to.what} />;
    case "outputs":
      return <OutputsScreen name={to.name} />;
    case "me":
      return <MeScreen />;
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
  if (me.value?.empty) return <FirstRun />;
  return (
    <>
      <KnownLines />
      <Screen />
      <Typed />
    </>
  );
}

codeFromAddress();
deviceStart();
routeStart();
keysStart(() => known);
render(<Page />, document.getElementById("page") as HTMLElement);
void storeStart({ toldGood: words.toldGood, toldWaits: words.toldWaits, refused: words.refused });
