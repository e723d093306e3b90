import { signal } from "@preact/signals";
import { get, post, putBytes, remove, ServerError, inWords } from "./api";
import { knownJob } from "./live";
import type { DayRecording, Job, SetChoice, Upload } from "./model";

/** Files on their way to the logbook, in pieces, so that a broken connection costs one piece only. */

export interface Sending {
  key: number;
  file: File;
  name: string; // as the server stores it
  sent: number;
  state: "sending" | "stored" | "failed" | "stopped";
  trouble: string;
  /** What to do once it is there; null: ask the coach. */
  then: AnalysisWish | null;
  job: string | null;
}

export interface AnalysisWish {
  log: string | null;
  set: SetChoice | null;
  /** Of a whole day: the sheet with a row for each set, and the day when it is told. */
  sheet?: string;
  day?: string;
  /** The day's other files, when there are several, and this one's camera. */
  more?: DayRecording[];
  camera?: number;
  options: Record<string, unknown>;
}

export const sendings = signal<Sending[]>([]);

const stops = new Map<number, AbortController>();
let lastKey = 0;

function change(key: number, what: Partial<Sending>) {
  sendings.value = sendings.value.map((s) => (s.key === key ? { ...s, ...what } : s));
}

const find = (key: number) => sendings.value.find((s) => s.key === key);

export const isLog = (name: string) => /\.(csv|tsv|txt|log|dat)$/i.test(name);

export function send(files: Iterable<File>) {
  for (const file of files) {
    const key = ++lastKey;
    const fresh: Sending = { key, file, name: file.name, sent: 0, state: "sending", trouble: "", then: null, job: null };
    sendings.value = [...sendings.value, fresh];
    void run(key, file);
  }
}

export function again(key: number) {
  const s = find(key);
  if (!s) return;
  change(key, { state: "sending", trouble: "" });
  void run(key, s.file);
}

export function stop(key: number) {
  stops.get(key)?.abort();
  change(key, { state: "stopped" });
}

export function forget(key: number) {
  stops.get(key)?.abort();
  sendings.value = sendings.value.filter((s) => s.key !== key);
}

const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

async function run(key: number, file: File) {
  const control = new AbortController();
  stops.set(key, control);
  try {
    const upload = await post<Upload>("/api/uploads", { name: file.name, bytes: file.size }, control.signal);
    change(key, { name: upload.name, sent: upload.offset });
    const stored = await sendPieces(key, file, upload, control.signal);
    change(key, { state: "stored", name: stored, sent: file.size });
    await analyseWhenWished(key);
  } catch (cause) {
    if (control.signal.aborted) return;
    change(key, { state: "failed", trouble: cause instanceof Error ? cause.message : String(cause) });
  } finally {
    stops.delete(key);
  }
}

/** Sends what is missing; returns the name under which the file is stored. */
async function sendPieces(key: number, file: File, upload: Upload, signal: AbortSignal): Promise<string> {
  let offset = upload.offset;
  let tries = 0;
  for (;;) {
    const piece = file.slice(offset, offset + upload.chunk_bytes);
    try {
      const reply = await putBytes<Upload>(`/api/uploads/${upload.id}?offset=${offset}`, piece, signal);
      offset = reply.offset;
      tries = 0;
      change(key, { sent: offset });
      if (reply.file) return reply.file;
    } catch (cause) {
      if (!(cause instanceof ServerError)) throw cause;
      const truth = (cause.body as { offset?: number } | null)?.offset;
      if (cause.status === 409 && truth !== undefined) {
        offset = truth;
      } else if (cause.status !== 0 || ++tries > 60) {
        throw cause; // said no; only silence is worth another try
      }
      await pause(cause.status === 0 ? 1000 : 50);
    }
  }
}

/** Says what to do with the file; starts at once when it is there already. */
export async function wish(key: number, then: AnalysisWish) {
  change(key, { then, trouble: "" });
  await analyseWhenWished(key);
}

async function analyseWhenWished(key: number) {
  const s = find(key);
  if (!s?.then || s.state !== "stored" || s.job) return;
  try {
    const job = await analyse(s.name, s.then);
    change(key, { job: job.id });
  } catch (cause) {
    change(key, { then: null, trouble: cause instanceof Error ? cause.message : String(cause) });
  }
}

export async function analyse(name: string, wished: AnalysisWish): Promise<Job> {
  const log = isLog(name) ? name : wished.log;
  const one = { clip: isLog(name) ? null : name, log };
  const several = { recordings: [{ name, camera: wished.camera ?? 1 }, ...(wished.more ?? [])] };
  const job = await post<Job>(
    "/api/jobs",
    wished.sheet
      ? { kind: "day", ...(wished.more?.length ? several : one), sheet: wished.sheet, day: wished.day ?? "", options: wished.options }
      : { ...one, set: wished.set, options: wished.options },
  );
  knownJob(job);
  return job;
}

/** Uploads of an earlier visit that did not end. The same file chosen again goes on where it stopped. */
export async function unfinished(): Promise<Upload[]> {
  const reply = await get<{ uploads: Upload[] }>("/api/uploads");
  const here = new Set(sendings.value.filter((s) => s.state === "sending").map((s) => s.name));
  return reply.uploads.filter((u) => !here.has(u.name));
}

export const dropUnfinished = (id: string) => remove(`/api/uploads/${id}`);

export const troubleOf = (cause: unknown) =>
  cause instanceof ServerError ? inWords(cause.failure) : cause instanceof Error ? cause.message : String(cause);
