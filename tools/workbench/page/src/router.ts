import { signal } from "@preact/signals";

/** Which page is shown, kept behind the # of the address so that a reload or a bookmark finds it again. */

export interface Place {
  page: string;
  parts: string[];
  query: URLSearchParams;
}

function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part; // typed by hand
  }
}

function read(): Place {
  const [path = "", query = ""] = location.hash.replace(/^#\/?/, "").split("?");
  const [page = "", ...parts] = path.split("/").map(decoded);
  return { page: page || "day", parts, query: new URLSearchParams(query) };
}

export const place = signal<Place>(read());

export const link = (page: string, ...parts: string[]) => "#/" + [page, ...parts.map(encodeURIComponent)].join("/");

export function go(page: string, ...parts: string[]) {
  location.hash = link(page, ...parts);
}

/** Goes to a page without leaving the present one in the history. */
export function replace(page: string, ...parts: string[]) {
  history.replaceState(history.state, "", link(page, ...parts));
  place.value = read();
}

/** Keeps what is chosen on this page in its address, for a reload and the way back. An empty value is not kept. */
export function remember(choices: Record<string, string>) {
  const { page, parts, query } = read();
  for (const [name, value] of Object.entries(choices)) value ? query.set(name, value) : query.delete(name);
  const said = query.toString();
  history.replaceState(history.state, "", link(page, ...parts) + (said ? "?" + said : ""));
  place.value = read();
}

/** Each entry of the history keeps how far its page was scrolled; it is scrolled there as soon as it is long enough. */
history.scrollRestoration = "manual";
let settled = 0;
addEventListener(
  "scroll",
  () => {
    clearTimeout(settled);
    settled = setTimeout(() => history.replaceState({ ...history.state, y: scrollY }, ""), 150);
  },
  { passive: true },
);

const kTry_ms = 30_000; // a phone far from the laptop waits long for its first view
const kHold_ms = 1000;
let wanted: { y: number; until: number } | null = null;
for (const hand of ["wheel", "touchmove", "keydown", "pointerdown"]) addEventListener(hand, () => (wanted = null), { passive: true });

/** The page before may stand a moment longer, and the new one fills bit by bit, also above: tried until it is long enough, and held a while. A hand ends it. */
function reach() {
  if (!wanted) return;
  const long = document.documentElement.scrollHeight >= wanted.y + innerHeight;
  if (long && Math.abs(scrollY - wanted.y) > 1) scrollTo(0, wanted.y);
  if (long) wanted.until = Math.min(wanted.until, performance.now() + kHold_ms);
  if (performance.now() < wanted.until) requestAnimationFrame(reach);
  else wanted = null;
}

function scrollBack(y: number) {
  scrollTo(0, 0);
  wanted = y > 0 ? { y, until: performance.now() + kTry_ms } : null;
  requestAnimationFrame(reach); // the page before is gone by then
}

addEventListener("hashchange", () => {
  const before = place.value;
  place.value = read();
  clearTimeout(settled);
  if (before.page !== place.value.page || before.parts.join() !== place.value.parts.join()) scrollBack((history.state as { y?: number } | null)?.y ?? 0);
});
addEventListener("load", () => scrollBack((history.state as { y?: number } | null)?.y ?? 0));
