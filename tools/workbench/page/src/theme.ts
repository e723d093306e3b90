import { signal } from "@preact/signals";

/** Light or dark. What stands in the document's data-theme holds; public/theme.js puts it there before the first paint. */

const root = document.documentElement;

export const dark = signal(root.dataset["theme"] === "dark");
/** Grows with every change, for what is drawn on a canvas, which cannot read the style sheet by itself. */
export const themeVersion = signal(0);

new MutationObserver(() => {
  dark.value = root.dataset["theme"] === "dark";
  themeVersion.value += 1;
}).observe(root, { attributes: true, attributeFilter: ["data-theme"] });

export function switchTheme() {
  const theme = dark.value ? "light" : "dark";
  localStorage.setItem("theme", theme);
  root.dataset["theme"] = theme;
}

export const colour = (name: string) => getComputedStyle(root).getPropertyValue(`--${name}`).trim();
