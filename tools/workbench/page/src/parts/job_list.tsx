import { useState } from "preact/hooks";
import { inWords, post, remove } from "../api";
import { knownJob } from "../live";
import type { Job } from "../model";
import { link } from "../router";
import { timeLeft } from "../units";
import { troubleOf } from "../uploads";
import { Bar, Trouble } from "./basics";

/** What is being measured now, with the time left, and what has just ended. */

const kEnded: Record<string, string> = { done: "Measured", failed: "Not measured", cancelled: "Stopped", waiting: "Waiting for its turn" };

export function JobCard({ job }: { job: Job }) {
  const going = job.state === "running" || job.state === "waiting";
  const [trouble, setTrouble] = useState("");
  const ask = (request: Promise<Job | null>) =>
    void request.then(
      (answer) => (setTrouble(""), answer && knownJob(answer)),
      (cause) => setTrouble(troubleOf(cause)), // as when it has ended in this moment
    );
  return (
    <li class={`job ${job.state}`} data-job={job.id}>
      <div class="job-head">
        <b class="job-title">{job.title}</b>
        <span class="job-state" role="status">
          {job.state === "running" ? job.step : kEnded[job.state]}
          {job.state === "running" && job.seconds_left !== null && <span class="job-left"> · {timeLeft(job.seconds_left)}</span>}
        </span>
      </div>
      {job.state === "running" && <Bar fraction={job.fraction} label={`Progress of ${job.title}`} />}
      {job.error && <p class="trouble">{inWords(job.error)}</p>}
      <Trouble words={trouble} />
      <div class="actions">
        {job.session && job.state === "done" && (
          <a class="button main" href={link(job.kind === "day" ? "recording" : "set", job.session)}>
            {job.kind === "day" ? "Open the day" : "Open the set"}
          </a>
        )}
        {going && (
          <button type="button" onClick={() => ask(post<Job>(`/api/jobs/${job.id}/cancel`))}>
            Stop
          </button>
        )}
        {(job.state === "failed" || job.state === "cancelled") && (
          <button type="button" onClick={() => ask(post<Job>(`/api/jobs/${job.id}/retry`))}>
            Try again
          </button>
        )}
        {!going && (
          <button type="button" class="quiet" onClick={() => ask(remove(`/api/jobs/${job.id}`))} aria-label={`Take off the list: ${job.title}`}>
            Take off the list
          </button>
        )}
      </div>
    </li>
  );
}

export function JobList({ jobs, label }: { jobs: Job[]; label: string }) {
  return jobs.length ? (
    <ul class="jobs" aria-label={label}>
      {jobs.map((j) => (
        <JobCard key={j.id} job={j} />
      ))}
    </ul>
  ) : null;
}
