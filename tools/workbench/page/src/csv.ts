/** A sheet's cells for the editor: read and written without losing any. The server alone judges what they mean. */

export interface Grid {
  separator: string;
  newline: string;
  cells: string[][]; // the first row holds the headings
}

/** The separator is the one of comma, semicolon and tab that the first line has most of. */
export function separatorOf(text: string): string {
  const head = text.split(/\r?\n/, 1)[0] ?? "";
  const count = (s: string) => head.split(s).length;
  return [",", ";", "\t"].reduce((a, b) => (count(b) > count(a) ? b : a));
}

export function parseGrid(text: string): Grid {
  const body = text.replace(/^\uFEFF/, "");
  const separator = separatorOf(body);
  const cells: string[][] = [[]];
  let cell = "";
  let quoted = false;
  const endCell = () => {
    cells.at(-1)!.push(cell);
    cell = "";
  };
  for (let i = 0; i < body.length; i++) {
    const c = body[i]!;
    if (quoted) {
      if (c === '"' && body[i + 1] === '"') cell += body[++i];
      else if (c === '"') quoted = false;
      else cell += c;
    } else if (c === '"' && cell === "") quoted = true;
    else if (c === separator) endCell();
    else if (c === "\n") {
      endCell();
      cells.push([]);
    } else if (c !== "\r" || body[i + 1] !== "\n") cell += c;
  }
  if (cell !== "" || cells.at(-1)!.length) endCell();
  else cells.pop();
  const width = Math.max(1, ...cells.map((r) => r.length));
  for (const row of cells) while (row.length < width) row.push("");
  return { separator, newline: body.includes("\r\n") ? "\r\n" : "\n", cells };
}

export function gridText(grid: Grid): string {
  const { separator, newline } = grid;
  const cell = (s: string) => (/["\r\n]/.test(s) || s.includes(separator) || /^\s|\s$/.test(s) ? `"${s.replaceAll('"', '""')}"` : s);
  return grid.cells.map((row) => row.map(cell).join(separator) + newline).join("");
}

export function withCell(grid: Grid, row: number, column: number, value: string): Grid {
  return { ...grid, cells: grid.cells.map((r, i) => (i === row ? r.map((c, k) => (k === column ? value : c)) : r)) };
}

export function withRow(grid: Grid, like?: number): Grid {
  const fresh = like === undefined ? grid.cells[0]!.map(() => "") : [...grid.cells[like]!];
  return { ...grid, cells: [...grid.cells.slice(0, (like ?? grid.cells.length - 1) + 1), fresh, ...grid.cells.slice((like ?? grid.cells.length - 1) + 1)] };
}

export function withoutRow(grid: Grid, row: number): Grid {
  return { ...grid, cells: grid.cells.filter((_, i) => i !== row) };
}
