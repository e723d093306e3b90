import { useState } from "preact/hooks";
import { post } from "../api";
import { jobs, knownJob, sessions, state } from "../live";
import type { Job } from "../model";
import { go } from "../router";
import { sendings, troubleOf } from "../uploads";
import { Trouble } from "./basics";

/** An empty logbook offers an invented club's day, to see what everything looks like. */
export function SampleDay() {
  const [trouble, setTrouble] = useState("");
  const [busy, setBusy] = useState(false);
  if (!state.value?.sample_day || !state.value.empty || sessions.value?.length || jobs.value.length || sendings.value.length) return null;

  async function begin() {
    setBusy(true);
    try {
      const reply = await post<{ jobs: Job[] }>("/api/sample-day");
      reply.jobs.forEach(knownJob);
      go("add");
    } catch (cause) {
      setTrouble(troubleOf(cause));
      setBusy(false);
    }
  }

  return (
    <section class="card sample" aria-label="Sample day">
      <h2>New here?</h2>
      <p>Look at the speed day of an invented club first: three lifters, three clips, a logger, a sheet and a roster. It takes about a minute to measure.</p>
      <Trouble words={trouble} />
      <button type="button" disabled={busy} onClick={() => void begin()}>
        Load the sample day
      </button>
    </section>
  );
}
