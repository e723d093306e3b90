// A sheet's cells survive the editor. The cases are those of RFC 4180, section 2 (quotes, doubled quotes, line breaks
// within quotes, CRLF), and what spreadsheets of other countries write (semicolons, tabs).
import assert from "node:assert/strict";
import { test } from "node:test";
import { gridText, parseGrid, withCell, withoutRow, withRow } from "../../../tools/workbench/page/src/csv";

test("quoted cells may hold separators, quotes and line breaks", () => {
  const text = 'a,b,c\r\n"x, y","say ""go""","two\r\nlines"\r\n';
  const grid = parseGrid(text);
  assert.deepEqual(grid.cells, [["a", "b", "c"], ["x, y", 'say "go"', "two\r\nlines"]]);
  assert.equal(gridText(grid), text);
});

test("the separator of the first line is kept", () => {
  for (const s of [",", ";", "\t"]) {
    const text = `lifter${s}load (kg)\nOdalys Brandt${s}92,5\n`.replace("92,5", s === "," ? '"92,5"' : "92,5");
    const grid = parseGrid(text);
    assert.equal(grid.cells[1]![1], "92,5");
    assert.equal(gridText(grid), text);
  }
});

test("a last line without a line break and a short row are read", () => {
  assert.deepEqual(parseGrid("a,b\n1").cells, [["a", "b"], ["1", ""]]);
});

test("an empty text has no row, and an empty last cell is kept", () => {
  assert.deepEqual(parseGrid("a,b\n1,\n").cells, [["a", "b"], ["1", ""]]);
  assert.deepEqual(parseGrid("").cells, []);
});

test("cells and rows change without touching the others", () => {
  const grid = parseGrid("a,b\n1,2\n3,4\n");
  assert.equal(gridText(withCell(grid, 1, 1, "x,y")), 'a,b\n1,"x,y"\n3,4\n');
  assert.equal(gridText(withRow(grid, 1)), "a,b\n1,2\n1,2\n3,4\n");
  assert.equal(gridText(withRow(grid)), "a,b\n1,2\n3,4\n,\n");
  assert.equal(gridText(withoutRow(grid, 1)), "a,b\n3,4\n");
});

test("what is random comes back as it was", () => {
  // A small generator with a fixed seed (Lehmer's, modulus 2^31 - 1, multiplier 48271).
  let seed = 20260307;
  const next = (n: number) => (seed = (seed * 48271) % 2147483647) % n;
  const signs = ['"', ",", ";", "\t", "\n", "\r\n", "a", "ü", " ", "1"];
  for (let round = 0; round < 500; round++) {
    const cells = Array.from({ length: 1 + next(4) }, () => Array.from({ length: 3 }, () => Array.from({ length: next(5) }, () => signs[next(signs.length)]).join("")));
    cells.unshift(["head", "of", "columns"]);
    const grid = { separator: ",", newline: "\n", cells };
    assert.deepEqual(parseGrid(gridText(grid)).cells, cells);
  }
});
