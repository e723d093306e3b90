/** Small changes to the roster's text that leave all else in it as the coach wrote it, comments too. */

const quoted = (s: string) => `"${s.replaceAll("\\", "\\\\").replaceAll('"', '\\"')}"`;

export type Value = string | number | number[];
const shown = (v: Value) => (typeof v === "string" ? quoted(v) : Array.isArray(v) ? `[${v.join(", ")}]` : String(v));

/** Adds a table of an array, such as a [[bar]], at the end of the text. What is "" is left out. */
export function withEntry(text: string, table: string, entries: [string, Value | ""][]): string {
  const lines = entries.filter(([, v]) => v !== "").map(([k, v]) => `${k} = ${shown(v)}`);
  return `${text.replace(/\s*$/, "")}\n\n[[${table}]]\n${lines.join("\n")}\n`;
}

/** Adds a [[lifter.lift]] to a lifter, after the last one he has. */
export function withLift(text: string, lifter: string, entries: [string, Value | ""][]): string | null {
  const lines = text.split("\n");
  const isHead = (l: string) => /^\s*\[/.test(l);
  let begin = -1;
  for (let i = 0; i < lines.length; i++) {
    if (!/^\s*\[\[\s*lifter\s*\]\]/.test(lines[i]!)) continue;
    for (let k = i + 1; k < lines.length && !isHead(lines[k]!); k++) {
      const name = /^\s*name\s*=\s*"((?:[^"\\]|\\.)*)"/.exec(lines[k]!)?.[1];
      if (name !== undefined && name === quoted(lifter).slice(1, -1)) begin = i;
    }
  }
  if (begin < 0) return null;
  let end = begin + 1;
  while (end < lines.length && (!isHead(lines[end]!) || /^\s*\[\[\s*lifter\.lift\s*\]\]/.test(lines[end]!))) end++;
  while (end > begin && lines[end - 1]!.trim() === "") end--;
  const fresh = ["", "[[lifter.lift]]", ...entries.filter(([, v]) => v !== "").map(([k, v]) => `${k} = ${shown(v)}`)];
  return [...lines.slice(0, end), ...fresh, ...lines.slice(end)].join("\n");
}

/** Sets a key of a table such as [thresholds]; the table is made when there is none. A comment behind the value stays. */
export function withKey(text: string, table: string, key: string, value: Value | null): string {
  const lines = text.split("\n");
  const head = lines.findIndex((l) => new RegExp(`^\\s*\\[\\s*${table}\\s*\\]\\s*(#.*)?$`).test(l));
  if (head < 0) return value === null ? text : `${text.replace(/\s*$/, "")}\n\n[${table}]\n${key} = ${shown(value)}\n`;
  let last = head;
  for (let i = head + 1; i < lines.length && !/^\s*\[/.test(lines[i]!); i++) {
    const match = new RegExp(`^(\\s*)${key}\\s*=\\s*(\\[[^\\]]*\\]|[^#]*?)(\\s*#.*)?$`).exec(lines[i]!);
    if (match) {
      if (value === null) lines.splice(i, 1);
      else lines[i] = `${match[1]}${key} = ${shown(value)}${match[3] ?? ""}`;
      return lines.join("\n");
    }
    if (lines[i]!.trim() !== "") last = i;
  }
  if (value !== null) lines.splice(last + 1, 0, `${key} = ${shown(value)}`);
  return lines.join("\n");
}

/** Sets a key that stands above all tables, such as the club's name. */
export function withTopKey(text: string, key: string, value: Value): string {
  const lines = text.split("\n");
  const head = lines.findIndex((l) => /^\s*\[/.test(l));
  const top = head < 0 ? lines.length : head;
  const line = `${key} = ${shown(value)}`;
  const at = lines.slice(0, top).findIndex((l) => new RegExp(`^\\s*${key}\\s*=`).test(l));
  if (at >= 0) lines[at] = line;
  else lines.unshift(line, ...(head === 0 ? [""] : []));
  return lines.join("\n");
}
