import { useSignalEffect } from "@preact/signals";
import { useEffect, useRef, useState } from "preact/hooks";
import uPlot from "uplot";
import "uplot/dist/uPlot.min.css";
import { colour, themeVersion } from "../theme";
import { Choice } from "../parts/basics";
import { fixed } from "../units";
import { chosen, chosenRep, draft, moveDraft, now_s, same, seekTime, session, shown } from "./open_set";

/** Velocity over time with its 95 % band. The line of the cursor is the picture's; click or drag to move both. */

const kNormal95 = 1.959963984540054;
const kHigh = 250;

type View = "clip" | "rep";

function columns(): uPlot.AlignedData {
  const s = session.value!.samples;
  const gap = (i: number, v: number) => (s.measured[i] ? v : null);
  return [
    s.t_s,
    s.velocity_mps.map((v, i) => gap(i, v)),
    s.velocity_mps.map((v, i) => gap(i, v + kNormal95 * s.velocity_sigma_mps[i]!)),
    s.velocity_mps.map((v, i) => gap(i, v - kNormal95 * s.velocity_sigma_mps[i]!)),
  ];
}

function boundsOf(rep: { set: number; rep: number; start_s: number; end_s: number }): [number, number] {
  const d = draft.value;
  return d && same(d, rep) ? [d.start_s, d.end_s] : [rep.start_s, rep.end_s];
}

/** Every rise shaded, with its number; the chosen one stronger. */
function shadeReps(u: uPlot) {
  const c = u.ctx;
  const ratio = devicePixelRatio || 1;
  c.save();
  c.beginPath();
  c.rect(u.bbox.left, u.bbox.top - 20 * ratio, u.bbox.width, u.bbox.height + 20 * ratio);
  c.clip();
  for (const rep of shown.value?.reps ?? []) {
    const [from, to] = boundsOf(rep);
    const x0 = u.valToPos(from, "x", true);
    const x1 = u.valToPos(to, "x", true);
    const mine = chosen.value !== null && same(rep, chosen.value);
    c.fillStyle = colour(mine ? "shade-chosen" : "shade");
    c.fillRect(x0, u.bbox.top, x1 - x0, u.bbox.height);
    if (mine) {
      c.fillStyle = colour("ink");
      c.fillRect(x0, u.bbox.top, x1 - x0, 3 * ratio);
    }
    c.fillStyle = colour(mine ? "ink" : "ink-2");
    c.font = `${mine ? 700 : 500} ${14 * ratio}px system-ui, sans-serif`;
    c.textAlign = "center";
    c.textBaseline = "bottom";
    c.fillText(String(rep.rep), (x0 + x1) / 2, u.bbox.top - 2 * ratio);
  }
  c.restore();
}

function drawCursor(u: uPlot) {
  const t = now_s.peek();
  const { min, max } = u.scales["x"]!;
  if (min == null || max == null || t < min || t > max) return;
  const ratio = devicePixelRatio || 1;
  const x = u.valToPos(t, "x", true);
  u.ctx.fillStyle = colour("cursor");
  u.ctx.fillRect(x - ratio, u.bbox.top, 2 * ratio, u.bbox.height);
}

/** `onScale` is called whenever another stretch of time has come to be shown. */
function makePlot(el: HTMLElement, width: number, onScale: () => void): uPlot {
  const axis = { stroke: () => colour("ink-2"), grid: { stroke: () => colour("line"), width: 1 }, ticks: { stroke: () => colour("line"), width: 1 }, font: "14px system-ui, sans-serif" };
  return new uPlot(
    {
      width,
      height: kHigh,
      padding: [22, 12, 0, 0],
      legend: { show: false },
      cursor: { drag: { x: false, y: false }, points: { show: false }, y: false },
      scales: { x: { time: false }, y: {} },
      axes: [
        { ...axis, size: 34, values: (_, v) => v.map((t) => `${Number(t.toFixed(2))} s`) },
        { ...axis, size: 52, values: (_, v) => v.map((x) => fixed(x, 1)) },
      ],
      series: [
        {},
        { stroke: () => colour("line-strong"), width: 2, points: { show: false } },
        { stroke: "transparent", points: { show: false } },
        { stroke: "transparent", points: { show: false } },
      ],
      bands: [{ series: [2, 3], fill: () => colour("band") }],
      hooks: { drawClear: [shadeReps], draw: [drawCursor], setScale: [onScale] },
    },
    columns(),
    el,
  );
}

/** Click or drag in the plot: the clip follows. */
function followHand(u: uPlot) {
  let held = false;
  const move = (e: PointerEvent) => held && seekTime(u.posToVal(e.clientX - u.over.getBoundingClientRect().left, "x"));
  u.over.addEventListener("pointerdown", (e) => {
    if (e.target !== u.over) return;
    held = true;
    u.over.setPointerCapture(e.pointerId);
    move(e);
  });
  u.over.addEventListener("pointermove", move);
  u.over.addEventListener("pointerup", () => (held = false));
  u.over.addEventListener("pointercancel", () => (held = false));
}

/** `drawn` counts the plot's scales and sizes: with each of them the handle stands elsewhere. */
function Handle({ plot, edge }: { plot: uPlot; edge: "start_s" | "end_s"; drawn: number }) {
  const d = draft.value;
  const held = useRef(false);
  if (!d) return null;
  const step = 1 / Math.max(10, session.value?.clip?.frame_rate_hz ?? session.value?.log?.rate_hz ?? 30);
  const to = (t: number) => {
    const now = draft.peek();
    if (!now) return;
    const next = edge === "start_s" ? { ...now, start_s: Math.min(t, now.end_s - step) } : { ...now, end_s: Math.max(t, now.start_s + step) };
    moveDraft(next);
    seekTime(next[edge]);
  };
  const x = plot.valToPos(d[edge], "x") + plot.over.offsetLeft;
  return (
    <div
      class={`handle ${edge === "start_s" ? "from" : "to"}`}
      role="slider"
      tabIndex={0}
      aria-label={edge === "start_s" ? `Start of rep ${d.rep}` : `End of rep ${d.rep}`}
      aria-valuenow={d[edge]}
      aria-valuemin={0}
      aria-valuemax={session.value?.samples.t_s.at(-1) ?? 0}
      aria-valuetext={`${fixed(d[edge], 2)} seconds`}
      style={{ left: `${x}px`, top: `${plot.over.offsetTop}px`, height: `${plot.over.clientHeight}px` }}
      onPointerDown={(e) => {
        held.current = true;
        e.currentTarget.setPointerCapture(e.pointerId);
      }}
      onPointerMove={(e) => held.current && to(plot.posToVal(e.clientX - plot.over.getBoundingClientRect().left, "x"))}
      onPointerUp={() => (held.current = false)}
      onKeyDown={(e) => {
        const by = e.key === "ArrowLeft" ? -step : e.key === "ArrowRight" ? step : 0;
        if (!by) return;
        e.preventDefault();
        to(d[edge] + by * (e.shiftKey ? 10 : 1));
      }}
    />
  );
}

export function VelocityTime() {
  const holder = useRef<HTMLDivElement>(null);
  const [plot, setPlot] = useState<uPlot | null>(null);
  const [view, setView] = useState<View>("clip");
  const [drawn, moved] = useState(0);
  const s = session.value;

  useEffect(() => {
    if (!holder.current || !s) return;
    const made = makePlot(holder.current, holder.current.clientWidth || 600, () => moved((n) => n + 1));
    followHand(made);
    setPlot(made);
    const watch = new ResizeObserver(() => {
      if (!holder.current) return;
      made.setSize({ width: holder.current.clientWidth, height: kHigh });
      moved((n) => n + 1);
    });
    watch.observe(holder.current);
    return () => {
      watch.disconnect();
      made.destroy();
    };
  }, [s]);

  const rep = chosenRep.value;
  const editing = draft.value !== null;
  useEffect(() => {
    if (!plot || !s) return;
    const t = s.samples.t_s;
    if ((view === "rep" || editing) && rep) plot.setScale("x", { min: rep.start_s - 1.2, max: rep.end_s + 1 });
    else plot.setScale("x", { min: t[0] ?? 0, max: t.at(-1) ?? 1 });
  }, [plot, view, editing, chosen.value, s]);

  useSignalEffect(() => {
    void [now_s.value, shown.value, chosen.value, draft.value, themeVersion.value];
    plot?.redraw(false, true);
  });

  return (
    <section class="plot" aria-label="Velocity over time">
      <header class="plot-head">
        <h2>
          Velocity over time <span class="hint">m/s, upward is positive</span>
        </h2>
        <Choice<View>
          label="Part shown"
          value={editing ? "rep" : view}
          onChange={setView}
          options={[
            ["clip", "Whole clip"],
            ["rep", "This rep"],
          ]}
        />
      </header>
      <div class="plot-frame">
        <div ref={holder} class="uplot-holder" role="img" aria-label="Line of the bar's velocity over time with its 95 % band; each rise is shaded and numbered" />
        {plot && editing && (
          <>
            <Handle plot={plot} edge="start_s" drawn={drawn} />
            <Handle plot={plot} edge="end_s" drawn={drawn} />
          </>
        )}
      </div>
    </section>
  );
}
