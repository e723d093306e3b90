import type { Failure } from "./model";

/** Every request to the server goes through here. */

/** What the server could not do, in its words: where, what, and how to mend it. */
export class ServerError extends Error {
  constructor(
    readonly status: number,
    readonly failure: Failure,
    readonly body: unknown = null,
  ) {
    super(inWords(failure));
  }
}

export function inWords(failure: Failure): string {
  const ended = (s: string) => (/[.!?]$/.test(s) ? s : s + ".");
  const where = failure.where.replace(/^\/.*\//, ""); // the folder is the logbook's
  return (where ? where + ": " : "") + ended(failure.what) + (failure.mend ? " " + ended(failure.mend) : "");
}

const unreachable: Failure = {
  code: "unreachable",
  where: "",
  what: "The workbench does not answer",
  mend: "See that the program still runs on the laptop, then try again",
};

/** Called when the server wants this device paired first. */
let onUnpaired = () => {};
export function whenUnpaired(call: () => void) {
  onUnpaired = call;
}

async function ask<T>(method: string, path: string, body?: BodyInit, type?: string, signal?: AbortSignal): Promise<T> {
  const headers: Record<string, string> = method === "GET" ? {} : { "X-Kinetics": "1", "Content-Type": type ?? "application/json" };
  let answer: Response;
  try {
    answer = await fetch(path, { method, headers, body: body ?? null, signal: signal ?? null });
  } catch (cause) {
    if (signal?.aborted) throw cause;
    throw new ServerError(0, unreachable);
  }
  const text = answer.status === 204 ? "" : await answer.text();
  let parsed: unknown = null;
  try {
    parsed = text ? JSON.parse(text) : null;
  } catch {
    throw new ServerError(answer.status, { ...unreachable, what: "The workbench answered with something else than data" });
  }
  if (!answer.ok) {
    const failure = (parsed as { error?: Failure } | null)?.error ?? { ...unreachable, what: `The workbench refused (${answer.status})` };
    if (answer.status === 401) onUnpaired();
    throw new ServerError(answer.status, failure, parsed);
  }
  return parsed as T;
}

export const get = <T>(path: string, signal?: AbortSignal) => ask<T>("GET", path, undefined, undefined, signal);
export const post = <T>(path: string, body: unknown = {}, signal?: AbortSignal) =>
  ask<T>("POST", path, JSON.stringify(body), undefined, signal);
export const put = <T>(path: string, body: unknown) => ask<T>("PUT", path, JSON.stringify(body));
export const putBytes = <T>(path: string, bytes: Blob, signal?: AbortSignal) =>
  ask<T>("PUT", path, bytes, "application/octet-stream", signal);
export const remove = (path: string) => ask<null>("DELETE", path);

/** The address of a session's part: `of(id)`, `of(id, "disc")`. */
export const of = (id: string, part = "") => `/api/sessions/${encodeURIComponent(id)}${part ? "/" + part : ""}`;
