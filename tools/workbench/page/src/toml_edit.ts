/** Small changes to the roster's text that leave all else in it as the coach wrote it, comments too. */

const quoted = (s: string) => `"${s.replaceAll("\\", "\\\\").replaceAll('"', '\\"')}"`;

export type Value = string | number | number[];
const shown = (v: Value) => (typeof v === "string" ? quoted(v) : Array.isArray(v) ? `[${v.join(", ")}]` : String(v));

/** Where on a line a comment begins, and how many brackets more are open behind it. Strings hold neither. */
function scan(line: string): { comment: number; opened: number } {
  let quote = "";
  let opened = 0;
  for (let i = 0; i < line.length; i++) {
    const c = line[i]!;
    if (quote) {
      if (c === "\\" && quote === '"') i++;
      else if (c === quote) quote = "";
    } else if (c === '"' || c === "'") quote = c;
    else if (c === "#") return { comment: i, opened };
    else if ("[{".includes(c)) opened++;
    else if ("]}".includes(c)) opened--;
  }
  return { comment: line.length, opened };
}

/** A key and the lines its value fills. */
interface Key {
  begin: number;
  end: number;
  /** As it stands in the text, in one line and without comments. */
  value: string;
}

/** A table of the text, such as one [[bar]]: its head, its own keys, and where what belongs to it ends. */
export interface Entry {
  head: number;
  keys: Map<string, Key>;
  end: number;
}

interface Table extends Entry {
  name: string;
}

function tablesOf(lines: string[]): Table[] {
  const all: Table[] = [];
  for (let i = 0; i < lines.length; i++) {
    const head = /^\s*(\[\[?)\s*([\w.-]+)\s*\]/.exec(lines[i]!);
    if (head) {
      all.push({ name: head[1] + head[2]!, head: i, keys: new Map(), end: i + 1 });
      continue;
    }
    const begin = i;
    const name = /^\s*([\w-]+)\s*=/.exec(lines[i]!)?.[1];
    let value = "";
    for (let open = 0; ; i++) {
      const { comment, opened } = scan(lines[i]!);
      value += lines[i]!.slice(0, comment) + " ";
      open += opened;
      if (open <= 0 || i + 1 >= lines.length) break;
    }
    const table = all.at(-1);
    if (!name || !table) continue;
    table.keys.set(name, { begin, end: i + 1, value: value.slice(value.indexOf("=") + 1).trim() });
    table.end = i + 1;
  }
  return all;
}

/** The [[table]]s of a text in their order; with `within`, those that belong to that entry, such as a lifter's lifts. */
export function entriesOf(text: string, table: string, within?: Entry): Entry[] {
  const all = tablesOf(text.split("\n"));
  const mine = (t: Table, i: number): Entry => {
    // What is below it by its name, as [[lifter.lift]] below [[lifter]], goes with it.
    let last = i;
    while (last + 1 < all.length && /^\[\[?/.exec(all[last + 1]!.name) && all[last + 1]!.name.replace(/^\[+/, "").startsWith(table + ".")) last++;
    return { head: t.head, keys: t.keys, end: all[last]!.end };
  };
  return all.flatMap((t, i) => (t.name === "[[" + table && (!within || (t.head > within.head && t.head < within.end)) ? [mine(t, i)] : []));
}

/** What stands behind a key, as it is typed into a form: a text without its quotes, a list without brackets. */
export function typed(entry: Entry, key: string): string {
  const value = entry.keys.get(key)?.value ?? "";
  if (/^".*"$/.test(value)) return value.slice(1, -1).replace(/\\(["\\])/g, "$1");
  if (/^'.*'$/.test(value)) return value.slice(1, -1);
  return value.replace(/[[\],]/g, " ").trim().replace(/\s+/g, " ");
}

/** Whether it says the same, however it is written: 2.50 is 2.5. */
function saysSame(v: Value, words: string): boolean {
  if (typeof v === "string") return v === words;
  return words !== "" && [v].flat().join() === words.split(" ").map(Number).join();
}

/** Changes keys where they stand, adds those that are new, and takes out those that are "". */
export function withChanged(text: string, entry: Entry, changes: [string, Value | ""][]): string {
  const lines = text.split("\n");
  const last = Math.max(entry.head + 1, ...[...entry.keys.values()].map((k) => k.end));
  const fresh = changes.filter(([key, v]) => v !== "" && !entry.keys.has(key)).map(([key, v]) => `${key} = ${shown(v as Value)}`);
  lines.splice(last, 0, ...fresh);
  const there = changes.flatMap(([key, v]) => (entry.keys.has(key) ? [{ key, v, at: entry.keys.get(key)! }] : []));
  for (const { key, v, at } of there.sort((a, b) => b.at.begin - a.at.begin)) {
    if (v === "") lines.splice(at.begin, at.end - at.begin);
    else if (!saysSame(v, typed(entry, key))) {
      const line = lines[at.begin]!;
      const indent = /^\s*/.exec(line)![0];
      const comment = at.end - at.begin === 1 ? line.slice(scan(line).comment) : "";
      const gap = comment ? /\s*$/.exec(line.slice(0, scan(line).comment))![0] : "";
      lines.splice(at.begin, at.end - at.begin, `${indent}${key} = ${shown(v)}${gap}${comment}`);
    }
  }
  return lines.join("\n");
}

/** Without an entry and what belongs to it. Comments above it stay: nobody knows whether they speak of it alone. */
export function withoutEntry(text: string, entry: Entry): string {
  const lines = text.split("\n");
  const blank = (i: number) => (lines[i] ?? "").trim() === "";
  const from = entry.head > 0 && blank(entry.head - 1) && blank(entry.end) ? entry.head - 1 : entry.head;
  lines.splice(from, entry.end - from);
  return lines.join("\n");
}

/** Adds a table of an array, such as a [[bar]], at the end of the text. What is "" is left out. */
export function withEntry(text: string, table: string, entries: [string, Value | ""][]): string {
  const lines = entries.filter(([, v]) => v !== "").map(([k, v]) => `${k} = ${shown(v)}`);
  return `${text.replace(/\s*$/, "")}\n\n[[${table}]]\n${lines.join("\n")}\n`;
}

/** Adds a [[lifter.lift]] to a lifter, after the last one he has. */
export function withLift(text: string, lifter: string, entries: [string, Value | ""][]): string | null {
  const his = entriesOf(text, "lifter").find((e) => typed(e, "name") === lifter);
  if (!his) return null;
  const lines = text.split("\n");
  const fresh = ["", "[[lifter.lift]]", ...entries.filter(([, v]) => v !== "").map(([k, v]) => `${k} = ${shown(v)}`)];
  return [...lines.slice(0, his.end), ...fresh, ...lines.slice(his.end)].join("\n");
}

/** Sets a key of a table such as [thresholds]; the table is made when there is none. A comment behind the value stays. */
export function withKey(text: string, table: string, key: string, value: Value | null): string {
  const found = tablesOf(text.split("\n")).find((t) => t.name === "[" + table);
  if (found) return withChanged(text, found, [[key, value ?? ""]]);
  return value === null ? text : `${text.replace(/\s*$/, "")}\n\n[${table}]\n${key} = ${shown(value)}\n`;
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
