// Before the first paint: the colours that were chosen on this device, else the system's.
const system = matchMedia("(prefers-color-scheme: dark)");
function applyTheme() {
  const chosen = localStorage.getItem("theme");
  document.documentElement.dataset.theme = chosen === "light" || chosen === "dark" ? chosen : system.matches ? "dark" : "light";
}
applyTheme();
system.addEventListener("change", applyTheme);
