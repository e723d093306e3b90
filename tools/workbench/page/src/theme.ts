import { signal } from "@preact/signals";

/** Colours of the moment for what is drawn on a canvas, which cannot read the style sheet by itself. */

export const themeVersion = signal(0);
const grown = () => (themeVersion.value += 1);
new MutationObserver(grown).observe(document.documentElement, { attributes: true, attributeFilter: ["data-theme"] });
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", grown);

export const colour = (name: string) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
