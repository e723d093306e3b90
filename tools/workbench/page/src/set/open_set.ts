import { batch, computed, signal } from "@preact/signals";
import { get, of, post, ServerError } from "../api";
import { knownJob } from "../live";
import type { About, Disc, Job, Rep, Session, TableRow } from "../model";
import { place, remember, replace } from "../router";
import { troubleOf } from "../uploads";
import { nearest } from "./timeline";

/** The set that is open: what was measured, where the cursor stands, and what is being mended. One at a time. */

export interface RepKey {
  set: number;
  rep: number;
}

export interface Draft extends RepKey {
  start_s: number;
  end_s: number;
}

export const id = signal("");
export const session = signal<Session | null>(null);
export const about = signal<About | null>(null);
export const disc = signal<Disc | null>(null);
export const trouble = signal("");
export const busy = signal(false);
/** Index into `times`. */
export const at = signal(0);
export const chosen = signal<RepKey | null>(null);
/** Bounds being moved, not stored yet, and what the numbers would be. */
export const draft = signal<Draft | null>(null);
export const preview = signal<Session | null>(null);
/** The table's rows as the command line prints them: of the trial, else of what is stored. */
export const previewRows = signal<TableRow[] | null>(null);
/** The bounds that the trial's numbers are of; others while the next ones are on their way. */
const tried = signal<Draft | null>(null);
export const trialIsFresh = computed(() => draft.value !== null && tried.value === draft.value);
/** Jobs that measure a set again: what they make takes the place of the set they began from. */
export const followed = new Set<string>();
/** Where the disc is said to be, in pixels of the full picture, while pointing at it. */
export const pointing = signal<{ x_px: number; y_px: number } | null>(null);

export const times = computed<number[]>(() => {
  const d = disc.value;
  if (d && d.t_s.length) return d.t_s;
  return session.value?.samples.t_s ?? [];
});
export const now_s = computed(() => times.value[at.value] ?? 0);
export const shown = computed(() => preview.value ?? session.value);
export const rows = computed(() => (preview.value ? previewRows.value : (about.value?.rows ?? null)) ?? []);
export const chosenRep = computed<Rep | null>(() => {
  const key = chosen.value;
  return key ? (shown.value?.reps.find((r) => same(r, key)) ?? null) : null;
});

export const same = (a: RepKey, b: RepKey) => a.set === b.set && a.rep === b.rep;

export function seek(index: number) {
  at.value = Math.min(Math.max(0, Math.round(index)), Math.max(0, times.value.length - 1));
}

export const seekTime = (t: number) => seek(nearest(times.value, t));

export function choose(key: RepKey | null, andSeek = true) {
  if (draft.value && (!key || !same(draft.value, key))) dropDraft();
  chosen.value = key && { set: key.set, rep: key.rep };
  if (place.value.page === "set") remember({ rep: key ? `${key.set}.${key.rep}` : "" });
  const rep = chosenRep.value;
  if (rep && andSeek) seekTime(rep.start_s);
}

/** The bar's state at the cursor, between samples the nearest one's. */
export const stateNow = computed(() => {
  const s = session.value?.samples;
  if (!s?.t_s.length) return null;
  const i = nearest(s.t_s, now_s.value);
  if (!s.measured[i]) return null;
  return { height_m: s.height_m[i]!, velocity_mps: s.velocity_mps[i]! };
});

let opening = 0;

/** Reads a set. What was shown of the same set before stays until the new numbers are here. */
export async function open(wanted: string, keep = false) {
  const turn = ++opening;
  if (!keep) {
    id.value = wanted;
    session.value = null;
    about.value = null;
    disc.value = null;
    at.value = 0;
    chosen.value = null;
    pointing.value = null;
    dropDraft();
  }
  trouble.value = "";
  try {
    const [s, a] = await Promise.all([get<Session>(of(wanted)), get<About>(of(wanted, "about"))]);
    const d = a.frames > 0 ? await get<Disc>(of(wanted, "disc")).catch(() => null) : null;
    if (turn !== opening) return;
    batch(() => {
      const t = now_s.value;
      id.value = wanted;
      session.value = s;
      about.value = a;
      disc.value = d;
      dropDraft();
      if (keep) return seekTime(t);
      const told = place.value.query.get("rep");
      const first = s.reps.find((r) => `${r.set}.${r.rep}` === told) ?? s.reps[0];
      if (first) choose(first);
    });
  } catch (cause) {
    if (turn === opening) trouble.value = troubleOf(cause);
  }
}

/** Whether another window has corrected this set meanwhile. */
export async function lookForNewer() {
  if (!id.value) return;
  const of_id = id.value;
  const a = await get<About>(of(of_id, "about")).catch(() => null);
  if (a && of_id === id.value && !busy.value) about.value = a;
}

export function dropDraft() {
  draft.value = null;
  preview.value = null;
  previewRows.value = null;
}

/** The same set as it is now: what was shown stays until the new numbers are here. */
export async function goOn(next: string) {
  const key = chosen.value;
  const before = id.value;
  await open(next, true);
  if (place.value.page !== "set" || place.value.parts[0] !== before) return; // gone elsewhere meanwhile
  replace("set", next);
  chosen.value = key && session.value?.reps.some((r) => same(r, key)) ? key : null;
  if (chosen.value) remember({ rep: `${chosen.value.set}.${chosen.value.rep}` });
}

type Reply = { id?: string; session?: Session; job?: Job };

async function mend(path: string, body: unknown) {
  busy.value = true;
  trouble.value = "";
  try {
    const reply = await post<Reply>(of(id.value, path), body);
    if (reply.job) {
      dropDraft();
      pointing.value = null;
      followed.add(reply.job.id);
      knownJob(reply.job);
    } else if (reply.id) {
      await goOn(reply.id);
    }
  } catch (cause) {
    preview.value = draft.value ? preview.value : null;
    const conflict = cause instanceof ServerError && cause.status === 409;
    if (conflict) await lookForNewer();
    trouble.value = troubleOf(cause);
  } finally {
    busy.value = false;
  }
}

export const correct = (correction: Record<string, unknown>) => mend("corrections", correction);
export const undo = () => mend("undo", {});

let wait = 0;
let asking: AbortController | null = null;

/** Moves a rep's bounds without storing them; the numbers follow as soon as the hand rests. */
export function moveDraft(next: Draft) {
  draft.value = next;
  clearTimeout(wait);
  wait = setTimeout(() => void askPreview(next), 120);
}

async function askPreview(d: Draft) {
  asking?.abort();
  asking = new AbortController();
  try {
    const reply = await post<{ session: Session; rows: TableRow[] }>(of(id.value, "corrections") + "?preview=1", { kind: "move_rep", ...d }, asking.signal);
    if (draft.value === d) {
      batch(() => {
        tried.value = d;
        previewRows.value = reply.rows;
        preview.value = reply.session;
        trouble.value = "";
      });
    }
  } catch (cause) {
    if (!(cause instanceof DOMException) && draft.value === d) {
      preview.value = null;
      trouble.value = troubleOf(cause);
    }
  }
}
