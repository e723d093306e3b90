import { signal } from "@preact/signals";

/** Which page is shown, kept behind the # of the address so that a reload or a bookmark finds it again. */

export interface Place {
  page: string;
  parts: string[];
  query: URLSearchParams;
}

function read(): Place {
  const [path = "", query = ""] = location.hash.replace(/^#\/?/, "").split("?");
  const [page = "", ...parts] = path.split("/").map(decodeURIComponent);
  return { page: page || "day", parts, query: new URLSearchParams(query) };
}

export const place = signal<Place>(read());

addEventListener("hashchange", () => {
  const before = place.value;
  place.value = read();
  if (before.page !== place.value.page || before.parts.join() !== place.value.parts.join()) scrollTo(0, 0);
});

export const link = (page: string, ...parts: string[]) => "#/" + [page, ...parts.map(encodeURIComponent)].join("/");

export function go(page: string, ...parts: string[]) {
  location.hash = link(page, ...parts);
}

/** Goes to a page without leaving the present one in the history. */
export function replace(page: string, ...parts: string[]) {
  history.replaceState(null, "", link(page, ...parts));
  place.value = read();
}
