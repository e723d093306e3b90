import { computed, effect, type Signal, signal } from "@preact/signals";
import { get, post, whenUnpaired } from "./api";
import type { Club, Job, RosterReply, State, Summary } from "./model";
import { clubUnit } from "./units";

/** What the server knows and tells of by itself: jobs, sessions, the club. Every open tab hears the same. */

export const state = signal<State | null>(null);
export const unpaired = signal(false);
export const connected = signal(true);
export const jobs = signal<Job[]>([]);
export const jobsKnown = signal(false);
export const sessions = signal<Summary[] | null>(null);
export const club = signal<Club | null>(null);
/** Grow when files, or roster and sheets, have changed: pages that show them read them again. */
export const filesVersion = signal(0);
export const clubVersion = signal(0);

export const runningJobs = computed(() => jobs.value.filter((j) => j.state === "running" || j.state === "waiting"));

effect(() => {
  if (club.value) clubUnit.value = club.value.unit;
});

async function quietly<T>(request: Promise<T>, then: (answer: T) => void) {
  try {
    then(await request);
  } catch {
    // Shown by the banner or the pairing view; what was read before stays.
  }
}

/** What is read again and has not changed is no news to whoever shows it. */
function take<T>(into: Signal<T>, fresh: T) {
  if (JSON.stringify(into.peek()) !== JSON.stringify(fresh)) into.value = fresh;
}

export const readState = () => quietly(get<State>("/api/state"), (s) => take(state, s));
export const readSessions = () => quietly(get<{ sessions: Summary[] }>("/api/sessions"), (s) => take(sessions, s.sessions));
export const readClub = () => quietly(get<RosterReply>("/api/roster"), (r) => take(club, r.club));

function readAll() {
  void readState();
  void readSessions();
  void readClub();
}

let stream: EventSource | null = null;
let retry = 0;

function on(name: string, call: (data: never) => void) {
  stream?.addEventListener(name, (e) => call(JSON.parse((e as MessageEvent<string>).data) as never));
}

function putJob(job: Job) {
  const known = jobs.value.some((j) => j.id === job.id);
  jobs.value = known ? jobs.value.map((j) => (j.id === job.id ? job : j)) : [job, ...jobs.value];
}

function listen() {
  stream?.close();
  stream = new EventSource("/api/events");
  stream.onopen = () => {
    // Nothing was heard until now: anything may have changed since it was read.
    readAll();
    filesVersion.value += 1;
    clubVersion.value += 1;
    connected.value = true;
  };
  stream.onerror = () => {
    connected.value = false;
    // A browser gives up for good when the server answers with an error: then begin anew.
    if (stream?.readyState !== EventSource.CLOSED || unpaired.value) return;
    clearTimeout(retry);
    retry = setTimeout(listen, 1500);
  };
  on("jobs", (d: { jobs: Job[] }) => {
    jobs.value = d.jobs;
    jobsKnown.value = true;
  });
  on("job", putJob);
  on("job_gone", (d: { id: string }) => (jobs.value = jobs.value.filter((j) => j.id !== d.id)));
  on("sessions", () => {
    void readSessions();
    void readState();
  });
  on("files", () => {
    filesVersion.value += 1;
    void readState();
  });
  on("club", () => {
    clubVersion.value += 1;
    void readClub();
    void readState();
  });
}

// A browser allows a few connections to one server in all: a tab in the background gives its own back.
document.addEventListener("visibilitychange", () => {
  if (unpaired.value) return;
  if (document.hidden) {
    stream?.close();
  } else {
    listen();
  }
});

/** Begins, pairing first when the address carries a code from the laptop's picture of squares. */
export async function start() {
  whenUnpaired(() => {
    unpaired.value = true;
    stream?.close();
  });
  const code = /^#pair=(.+)$/.exec(location.hash)?.[1];
  if (code) {
    history.replaceState(null, "", "#/");
    await pair(code).catch(() => (unpaired.value = true));
  }
  if (unpaired.value) return;
  readAll();
  listen();
}

export async function pair(code: string) {
  await post("/api/pair", { code });
  unpaired.value = false;
  connected.value = true;
  readAll();
  listen();
}

/** A job as an answer tells of it: the stream may have told already how it went on. */
export function knownJob(job: Job) {
  if (!jobs.value.some((j) => j.id === job.id)) putJob(job);
}
