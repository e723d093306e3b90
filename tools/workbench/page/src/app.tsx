import { useEffect } from "preact/hooks";
import { club, connected, runningJobs, unpaired } from "./live";
import { AddPage } from "./pages/add";
import { ClubPage } from "./pages/club";
import { DayPage } from "./pages/day";
import { LiftersPage } from "./pages/lifters";
import { PairPage } from "./pages/pair";
import { PlanPage } from "./pages/plan";
import { PlanTextPage } from "./pages/plan_text";
import { RecordingPage } from "./pages/recording";
import { SheetPage } from "./pages/sheet";
import { WavesPage } from "./pages/waves";
import { can } from "./parts/plan_tabs";
import { SetPage } from "./set/set_page";
import { link, place } from "./router";
import { dark, switchTheme } from "./theme";
import { chosenUnit, massUnit } from "./units";

/** The frame round every page: where one can go, and the switches that hold for all of them. */

const kPlaces: [string, string, string][] = [
  ["day", "Day", "M4 6h16M4 12h16M4 18h10"],
  ["add", "Add", "M12 4v16M4 12h16"],
  ["lifters", "Lifters", "M4 20 11 9l4 5 5-9"],
  ["sheet", "Sheet", "M5 4h14v16H5zM5 9h14M5 14h14M11 9v11"],
  ["club", "Club", "M3 12h18M6 7v10M18 7v10M9 9v6M15 9v6"],
];

/** The pages behind one entry: the sheet, and the plan when there is one. */
const kPlanPages = ["sheet", "plan", "waves", "plan-text"];

function Icon({ path }: { path: string }) {
  return (
    <svg viewBox="0 0 24 24" aria-hidden="true" class="icon">
      <path d={path} />
    </svg>
  );
}

function Places() {
  const now = place.value.page;
  const running = runningJobs.value.length;
  const group = kPlanPages.includes(now) ? "sheet" : now === "set" || now === "recording" ? "day" : now;
  return (
    <nav class="places" aria-label="Pages">
      {kPlaces.map(([page, words, path]) => (
        <a href={link(page === "sheet" && can("plan") ? "plan" : page)} aria-current={page === group ? "page" : undefined}>
          <Icon path={path} />
          <span>{page === "sheet" && can("plan") ? "Plan" : words}</span>
          {page === "add" && running > 0 && (
            <span class="count" aria-label={`${running} running`}>
              {running}
            </span>
          )}
        </a>
      ))}
    </nav>
  );
}

function Switches() {
  const unit = massUnit.value;
  return (
    <div class="switches">
      <div class="unit-switch" role="group" aria-label="Unit of loads">
        {(["kg", "lb"] as const).map((u) => (
          <button type="button" aria-pressed={unit === u} onClick={() => (chosenUnit.value = u)}>
            {u}
          </button>
        ))}
      </div>
      <button type="button" onClick={switchTheme} aria-label={dark.value ? "Light colours" : "Dark colours"}>
        <Icon path="M12 4a8 8 0 1 0 0 16zM12 4a8 8 0 0 1 0 16" />
      </button>
    </div>
  );
}

function Page() {
  const { page, parts } = place.value;
  switch (page) {
    case "add":
      return <AddPage />;
    case "set":
      return <SetPage key="set" id={parts[0] ?? ""} />;
    case "recording":
      return <RecordingPage key={parts[0]} name={parts[0] ?? ""} />;
    case "lifters":
      return <LiftersPage lifter={parts[0] ?? ""} lift={parts[1] ?? ""} />;
    case "sheet":
      return <SheetPage name={parts[0] ?? ""} />;
    case "plan":
      return <PlanPage />;
    case "plan-text":
      return <PlanTextPage />;
    case "waves":
      return <WavesPage />;
    case "club":
      return <ClubPage part={parts[0] ?? ""} />;
    default:
      return <DayPage day={parts[0] ?? ""} />;
  }
}

export function App() {
  const { page } = place.value;
  useEffect(() => {
    // A screen reader is taken to the new page's heading; the first view leaves the focus alone.
    if (document.activeElement && document.activeElement !== document.body) document.querySelector<HTMLElement>("main h1")?.focus();
  }, [page]);
  useEffect(() => {
    document.title = (kPlaces.find(([p]) => p === page)?.[1] ?? "Set") + " – " + (club.value?.name ?? "kinetics");
  }, [page, club.value]);
  if (unpaired.value) return <PairPage />;
  return (
    <>
      <a class="skip" href="#main" onClick={(e) => (e.preventDefault(), document.querySelector<HTMLElement>("main h1")?.focus())}>
        To the content
      </a>
      <header class="top">
        <a class="mark" href={link("day")}>
          <svg viewBox="0 0 32 32" aria-hidden="true">
            <circle cx="13" cy="19" r="8.5" class="mark-disc" />
            <circle cx="13" cy="19" r="2" class="mark-hub" />
            <path d="M26 26V7m-4 4 4-4 4 4" class="mark-rise" />
          </svg>
          <span class="mark-club">{club.value?.name ?? "kinetics"}</span>
        </a>
        <Places />
        <Switches />
      </header>
      <main id="main">
        <Page />
      </main>
      <p class="offline" role="status" hidden={connected.value}>
        The workbench does not answer. What you see may be old; this page goes on by itself when it is back.
      </p>
    </>
  );
}
