import { useSignalEffect } from "@preact/signals";
import { useEffect, useRef, useState } from "preact/hooks";
import { clock, fixed, speedInWords } from "../units";
import { Frames } from "./frames";
import { about, at, choose, chosen, correct, disc, id, now_s, pointing, same, seek, session, shown, stateNow, times } from "./open_set";
import { drawOverlay } from "./overlay";

/** The clip, picture by picture, with what was measured drawn on it. */

const kTrail_s = 2.5;
const kWidest = 1280;

/** Where the path drawn begins: with the descent before the chosen rise, else some seconds back. */
function trailStart(index: number): number {
  const t = times.value;
  const now = t[index] ?? 0;
  const rep = shown.value?.reps.find((r) => now >= r.start_s && now <= r.end_s + 0.3);
  const from = rep ? rep.start_s - 1.5 : now - kTrail_s;
  let i = index;
  while (i > 0 && t[i - 1]! >= from) i--;
  return i;
}

function useFrames(redraw: () => void): Frames | null {
  const [frames, setFrames] = useState<Frames | null>(null);
  const key = disc.value && about.value?.frames ? id.value : "";
  useEffect(() => {
    if (!key || !disc.value) return setFrames(null);
    const width = Math.min(kWidest, Math.round(Math.min(innerWidth, 960) * Math.min(2, devicePixelRatio || 1)));
    const fresh = new Frames(key, Math.min(width, about.value?.width_px ?? width), disc.value.frame, redraw);
    setFrames(fresh);
    return () => fresh.close();
  }, [key, disc.value]);
  return frames;
}

function usePlaying(frames: Frames | null, speed: number): [boolean, (on: boolean) => void] {
  const [playing, setPlaying] = useState(false);
  useEffect(() => {
    if (!playing) return;
    let handle = 0;
    let last = performance.now();
    let t = now_s.peek();
    const step = (now: number) => {
      const all = times.peek();
      t += ((now - last) / 1000) * speed;
      last = now;
      let next = at.peek();
      while (next + 1 < all.length && all[next + 1]! <= t) next++;
      // Waits for the picture rather than run ahead of what can be seen.
      if (frames && next !== at.peek() && !frames.has(next)) {
        frames.want(next, 1, 20);
        t = all[at.peek()] ?? t;
      } else {
        seek(next);
      }
      if (next >= all.length - 1) return setPlaying(false);
      handle = requestAnimationFrame(step);
    };
    handle = requestAnimationFrame(step);
    return () => cancelAnimationFrame(handle);
  }, [playing, speed, frames]);
  return [playing, setPlaying];
}

function Picture({ frames, version }: { frames: Frames | null; version: number }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const [drawn, setDrawn] = useState(false);
  const lastIndex = useRef(0);
  const [, resized] = useState(0);
  const a = about.value;

  useEffect(() => {
    const watch = new ResizeObserver(() => resized((n) => n + 1));
    if (canvas.current) watch.observe(canvas.current);
    return () => watch.disconnect();
  }, []);

  function draw() {
    const el = canvas.current;
    const d = disc.value;
    const i = at.value;
    if (!el || !d || !a || !frames) return;
    const ratio = Math.min(2, devicePixelRatio || 1);
    const wide = Math.round(el.clientWidth * ratio);
    const high = Math.round((wide * a.height_px) / a.width_px);
    if (el.width !== wide || el.height !== high) {
      el.width = wide;
      el.height = high;
    }
    frames.want(i, i >= lastIndex.current ? 1 : -1, 10);
    lastIndex.current = i;
    const image = frames.at(i);
    const c = el.getContext("2d");
    if (!c || !image) return; // the one before stays until this one is here
    c.drawImage(image, 0, 0, wide, high);
    drawOverlay(c, {
      disc: d,
      aspect: session.value?.clip?.pixel_aspect ?? 1,
      scale: wide / a.width_px,
      index: i,
      from: trailStart(i),
      velocity_mps: stateNow.value?.velocity_mps ?? null,
      pointing: pointing.value,
      text_px: Math.max(13 * ratio, wide / 48),
    });
    el.dataset["drawn"] = String(i);
    setDrawn(true);
  }
  useSignalEffect(draw);
  useEffect(draw, [frames, version, resized]);

  function point(e: PointerEvent) {
    const el = canvas.current;
    if (!pointing.value || !el || !a) return;
    const box = el.getBoundingClientRect();
    pointing.value = { x_px: ((e.clientX - box.left) / box.width) * a.width_px, y_px: ((e.clientY - box.top) / box.height) * a.height_px };
  }

  return (
    <div class="picture-frame">
      {!drawn && <p class="picture-wait">Fetching the picture…</p>}
    <canvas
      ref={canvas}
      class={pointing.value ? "picture pointing" : "picture"}
      style={{ aspectRatio: a ? `${a.width_px} / ${a.height_px}` : "16 / 9" }}
      role="img"
      aria-label="The clip's picture at the cursor, with the bar's path, the disc's rim and the velocity drawn on it"
      onPointerDown={point}
    />
    </div>
  );
}

/** Moves the cross by keys, for those who do not use a mouse. */
function movePointer(e: KeyboardEvent): boolean {
  const p = pointing.value;
  const step = e.shiftKey ? 25 : 4;
  const by = ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] } as Record<string, [number, number]>)[e.key];
  if (!p || !about.value) return false;
  if (by)
    pointing.value = {
      x_px: Math.min(about.value.width_px - 1, Math.max(0, p.x_px + step * by[0])),
      y_px: Math.min(about.value.height_px - 1, Math.max(0, p.y_px + step * by[1])),
    };
  else return false;
  return true;
}

function chooseNext(step: number) {
  const reps = shown.value?.reps ?? [];
  const now = chosen.value ? reps.findIndex((r) => same(r, chosen.value!)) : -1;
  const next = reps[Math.min(Math.max(0, now + step), reps.length - 1)];
  if (next) choose(next);
}

function PointingBar() {
  const p = pointing.value;
  if (!p) return null;
  return (
    <div class="pointing-bar">
      <p>Click the middle of the disc, or move the cross with the arrow keys.</p>
      <div class="actions">
        <button
          type="button"
          class="main"
          onClick={() => void correct({ kind: "seed", x_px: p.x_px / (session.value?.clip?.pixel_aspect ?? 1), y_px: p.y_px, t_s: now_s.value })}
        >
          Follow this disc
        </button>
        <button type="button" onClick={() => (pointing.value = null)}>
          Leave it
        </button>
      </div>
    </div>
  );
}

export function Viewer() {
  const [version, setVersion] = useState(0);
  const [slow, setSlow] = useState(false);
  const frames = useFrames(() => setVersion((n) => n + 1));
  const [playing, setPlaying] = usePlaying(frames, slow ? 0.25 : 1);
  const s = stateNow.value;
  const count = times.value.length;
  const hasClip = (about.value?.frames ?? 0) > 0;
  const words = s ? speedInWords(s.velocity_mps) : "not measured here";

  function onKey(e: KeyboardEvent) {
    const target = e.target as HTMLElement;
    const mine = target.classList.contains("scrub") || target === e.currentTarget;
    if (!mine) return;
    const step = e.shiftKey ? 10 : 1;
    if (movePointer(e)) e.preventDefault();
    else if (e.key === " ") (e.preventDefault(), setPlaying(!playing));
    else if (e.key === "ArrowLeft") (e.preventDefault(), seek(at.value - step));
    else if (e.key === "ArrowRight") (e.preventDefault(), seek(at.value + step));
    else if (e.key === "ArrowUp") (e.preventDefault(), chooseNext(-1));
    else if (e.key === "ArrowDown") (e.preventDefault(), chooseNext(1));
  }

  return (
    <section class="viewer" aria-label="Clip" onKeyDown={onKey}>
      {hasClip ? <Picture frames={frames} version={version} /> : <p class="no-picture">{session.value?.log && !session.value.clip ? "Measured from a log: there is no picture." : "The clip is not in the logbook: there is no picture to show."}</p>}
      <PointingBar />
      <div class="scrub-row">
        <button type="button" class="square" aria-label={playing ? "Pause" : "Play"} onClick={() => setPlaying(!playing)}>
          {playing ? "❚❚" : "►"}
        </button>
        <button type="button" class="square" aria-label="One picture back" onClick={() => seek(at.value - 1)}>
          ◂
        </button>
        <input
          class="scrub"
          type="range"
          min={0}
          max={Math.max(0, count - 1)}
          step={1}
          value={at.value}
          aria-label="Place in the clip"
          aria-valuetext={`${fixed(now_s.value, 2)} seconds, ${words}`}
          onInput={(e) => seek(Number(e.currentTarget.value))}
        />
        <button type="button" class="square" aria-label="One picture on" onClick={() => seek(at.value + 1)}>
          ▸
        </button>
        <button type="button" class="square" aria-pressed={slow} aria-label="A quarter of the speed" onClick={() => setSlow(!slow)}>
          ¼
        </button>
      </div>
      <p class="readout">
        <span>{clock(now_s.value)}</span>
        <span>{hasClip ? `picture ${at.value + 1} of ${count}` : ""}</span>
        <b>{words}</b>
      </p>
      {hasClip && (
        <p class="key hint">
          <span class="key-up" aria-hidden="true" /> on the way up <span class="key-down" aria-hidden="true" /> on the way down; a broken rim was not seen but carried on
        </p>
      )}
    </section>
  );
}
