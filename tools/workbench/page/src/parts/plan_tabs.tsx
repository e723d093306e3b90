import { state } from "../live";
import { link } from "../router";

/** The pages round the plan: shown as far as the server can fill them. */

const kTabs: [string, string, string][] = [
  ["plan", "Next session", "plan"],
  ["waves", "Waves", "compare"],
  ["sheet", "Sheets", ""],
  ["plan-text", "The plan", "plan-text"],
];

export const can = (what: string) => what === "" || (state.value?.can ?? []).includes(what);

export function PlanTabs({ here }: { here: string }) {
  const tabs = kTabs.filter(([, , what]) => can(what));
  if (tabs.length < 2) return null;
  return (
    <nav class="choice tabs" aria-label="Plan">
      {tabs.map(([page, words]) => (
        <a href={link(page)} aria-current={page === here ? "page" : undefined}>
          {words}
        </a>
      ))}
    </nav>
  );
}
