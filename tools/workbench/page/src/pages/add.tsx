import { useEffect, useRef, useState } from "preact/hooks";
import { get } from "../api";
import { filesVersion, jobs, jobsKnown, runningJobs, state } from "../live";
import { filesOf, type StoredFile, type Upload } from "../model";
import { Bar, Choice, Field, Title, Trouble } from "../parts/basics";
import { JobList } from "../parts/job_list";
import { type DayAnswer, DayForm, emptyDay } from "../parts/day_form";
import { choiceOf, emptyAnswer, isMissing, SetForm } from "../parts/set_form";
import { SampleDay } from "../parts/sample_day";
import { bytes } from "../units";
import { again, analyse, type AnalysisWish, dropUnfinished, forget, isLog, send, type Sending, sendings, stop, troubleOf, unfinished, wish } from "../uploads";

/** Clips and logs in: drop, choose or film; say who lifted; watch it being measured. */

/** Held in the hand: there is a camera, and nothing to drop. */
const touch = matchMedia("(pointer: coarse)").matches;
const here = ["127.0.0.1", "localhost", "[::1]"].includes(location.hostname);

const kAccept = "video/*,.mp4,.mov,.mkv,.m4v,.webm,.csv,.tsv,.txt,.log,.dat";

function DropZone() {
  const [over, setOver] = useState(false);
  const choose = useRef<HTMLInputElement>(null);
  const film = useRef<HTMLInputElement>(null);
  const take = (input: HTMLInputElement) => {
    send(Array.from(input.files ?? []));
    input.value = "";
  };
  return (
    <section
      class={over ? "drop over" : "drop"}
      aria-label="Add clips and logs"
      onDragOver={(e) => (e.preventDefault(), setOver(true))}
      onDragLeave={() => setOver(false)}
      onDrop={(e) => {
        e.preventDefault();
        setOver(false);
        send(Array.from(e.dataTransfer?.files ?? []));
      }}
    >
      <p class="drop-words">{touch ? "Film a set, or send a clip" : "Drop clips and logs here"}</p>
      <p class="hint">{`A clip from the side of the bar, or a logger's text file. ${here ? "They stay on this computer." : "They go to the laptop that runs the workbench, and nowhere else."}`}</p>
      <div class="actions">
        {touch && (
          <button type="button" class="main" onClick={() => film.current?.click()}>
            Film now
          </button>
        )}
        <button type="button" class={touch ? "" : "main"} onClick={() => choose.current?.click()}>
          Choose files
        </button>
      </div>
      <input ref={choose} class="unseen" type="file" multiple accept={kAccept} aria-label="Choose clips and logs" tabIndex={-1} onChange={(e) => take(e.currentTarget)} />
      <input ref={film} class="unseen" type="file" accept="video/*" capture="environment" aria-label="Film with this device" tabIndex={-1} onChange={(e) => take(e.currentTarget)} />
    </section>
  );
}

function HowToFilm() {
  return (
    <section class="card film">
      <h2>How to film</h2>
      <ul>
        <li>From the side, square to the bar's end, on a tripod or something else that stands still. Up to 30° off square is corrected.</li>
        <li>Camera at about the height the bar has halfway through the lift, far enough back that the disc stays in the picture all the way.</li>
        <li>60 pictures a second or more when the phone offers it. The near disc in clear view, and nobody in between.</li>
        <li>Keep tripod and phone where a dropped bar or plate cannot roll, and let nobody step in to mend a camera during a set.</li>
      </ul>
    </section>
  );
}

function useFiles(): StoredFile[] | null {
  const [files, setFiles] = useState<StoredFile[] | null>(null);
  useEffect(() => {
    let gone = false;
    get<{ files: StoredFile[] }>("/api/files")
      .then((r) => !gone && setFiles(r.files))
      .catch(() => !gone && setFiles([]));
    return () => {
      gone = true;
    };
  }, [filesVersion.value, jobs.value.filter((j) => j.state === "done").length]);
  return files;
}

const stem = (name: string) => name.replace(/\.[^.]*$/, "");

/** What is asked before a file is measured. */
function AnalysisForm(props: { name: string; logs: string[]; others: string[]; onWish: (w: AnalysisWish) => Promise<void>; words: string }) {
  const [holds, setHolds] = useState<"set" | "day">("set");
  const [answer, setAnswer] = useState(emptyAnswer);
  const [day, setDay] = useState<DayAnswer>(emptyDay);
  const [log, setLog] = useState<string | null>(null); // null: not chosen by hand
  const likelyLog = props.logs.find((l) => stem(l) === stem(props.name)) ?? "";
  const disc = state.value?.options["disc_diameter_m"];
  const [disc_mm, setDisc] = useState("");
  const [rate, setRate] = useState("");
  const [trouble, setTrouble] = useState("");
  const [busy, setBusy] = useState(false);

  async function submit(e: Event) {
    e.preventDefault();
    const whole = holds === "day";
    const set = whole ? null : choiceOf(answer);
    if (set !== null && isMissing(set)) return setTrouble(set.missing);
    if (whole && !day.sheet) return setTrouble("Choose the sheet that says who lifted what.");
    setBusy(true);
    setTrouble("");
    const options: Record<string, unknown> = {};
    if (disc_mm) options["disc_diameter_m"] = Number(disc_mm.replace(",", ".")) / 1000;
    if (rate) options["capture_rate_hz"] = Number(rate.replace(",", "."));
    try {
      await props.onWish(whole ? { log: null, set, options, ...day } : { log: (log ?? likelyLog) || null, set, options });
    } catch (cause) {
      setTrouble(troubleOf(cause));
    } finally {
      setBusy(false);
    }
  }

  return (
    <form onSubmit={submit} aria-label={`Measure ${props.name}`}>
      <Choice<"set" | "day">
        label="The file holds"
        shown
        value={holds}
        onChange={setHolds}
        options={[
          ["set", "One set"],
          ["day", "A whole day"],
        ]}
      />
      {holds === "set" ? <SetForm answer={answer} onChange={setAnswer} clip={props.name} /> : <DayForm name={props.name} others={props.others} answer={day} onChange={setDay} />}
      {holds === "set" && !isLog(props.name) && props.logs.length > 0 && (
        <Field label="Logger on the same bar" hint="clip and log are joined into one estimate">
          <select value={log ?? likelyLog} onChange={(e) => setLog(e.currentTarget.value)}>
            <option value="">none</option>
            {props.logs.map((l) => (
              <option value={l}>{l}</option>
            ))}
          </select>
        </Field>
      )}
      {!isLog(props.name) && (
        <details class="more">
          <summary>Disc, slow motion</summary>
          <div class="fields">
            <Field label="Disc across, mm" hint={`left empty: ${Math.round(1000 * (disc?.default ?? 0.45))}`}>
              <input inputMode="decimal" value={disc_mm} onInput={(e) => setDisc(e.currentTarget.value)} />
            </Field>
            <Field label="Filmed at, pictures a second" hint="only for slow motion that the file does not tell of">
              <input inputMode="decimal" value={rate} onInput={(e) => setRate(e.currentTarget.value)} />
            </Field>
          </div>
        </details>
      )}
      <Trouble words={trouble} />
      <button class="main" disabled={busy}>
        {props.words}
      </button>
    </form>
  );
}

function SendingCard({ sending, logs, others }: { sending: Sending; logs: string[]; others: string[] }) {
  const s = sending;
  const share = s.file.size ? s.sent / s.file.size : 1;
  return (
    <li class="card sending" data-file={s.name}>
      <div class="job-head">
        <b class="job-title">{s.name}</b>
        <span class="job-state" role="status">
          {s.state === "sending" ? `${bytes(s.sent)} of ${bytes(s.file.size)}` : s.state === "stored" ? "In the logbook" : s.state === "failed" ? "Not stored" : "Stopped"}
        </span>
      </div>
      {s.state === "sending" && <Bar fraction={share} label={`Upload of ${s.name}`} />}
      <Trouble words={s.trouble} />
      {(s.state === "sending" || s.state === "stored") &&
        (s.then ? (
          <p>Is measured as soon as the whole file is here.</p>
        ) : (
          <AnalysisForm name={s.name} logs={logs} others={others} words={s.state === "stored" ? "Measure it" : "Measure it when it is here"} onWish={(w) => wish(s.key, w)} />
        ))}
      <div class="actions">
        {s.state === "sending" && (
          <button type="button" onClick={() => stop(s.key)}>
            Stop the upload
          </button>
        )}
        {(s.state === "failed" || s.state === "stopped") && (
          <>
            <button type="button" onClick={() => again(s.key)}>
              Try again
            </button>
            <button type="button" class="quiet" onClick={() => forget(s.key)}>
              Take off the list
            </button>
          </>
        )}
      </div>
    </li>
  );
}

function StoredCard({ file, logs, others }: { file: StoredFile; logs: string[]; others: string[] }) {
  return (
    <li class="card" data-file={file.name}>
      <details class="stored">
        <summary>
          <b class="job-title">{file.name}</b> <span class="hint">{bytes(file.bytes)}, not measured yet</span>
        </summary>
        <AnalysisForm name={file.name} logs={logs} others={others} words="Measure it" onWish={async (w) => void (await analyse(file.name, w))} />
      </details>
    </li>
  );
}

function Unfinished() {
  const [list, setList] = useState<Upload[]>([]);
  const read = () => void unfinished().then(setList, () => {});
  useEffect(read, [sendings.value.length]);
  if (!list.length) return null;
  return (
    <section aria-label="Uploads that did not end">
      <h2>Uploads that did not end</h2>
      <ul class="plain">
        {list.map((u) => (
          <li class="card">
            <b>{u.name}</b>: {bytes(u.offset)} of {bytes(u.bytes)} arrived. Choose the same file again and it goes on from there.
            <div class="actions">
              <button type="button" class="quiet" onClick={() => void dropUnfinished(u.id).then(read)}>
                Give it up
              </button>
            </div>
          </li>
        ))}
      </ul>
    </section>
  );
}

export function AddPage() {
  const stored = useFiles();
  const files = stored ?? [];
  const known = stored !== null && jobsKnown.value && state.value !== null; // all at once: nothing jumps
  const logs = [...new Set([...files.filter((f) => f.kind === "log").map((f) => f.name), ...sendings.value.filter((s) => s.state === "stored" && isLog(s.name)).map((s) => s.name)])];
  const running = [...runningJobs.value].sort((a, b) => Number(b.state === "running") - Number(a.state === "running") || a.made_at.localeCompare(b.made_at)); // as they will be done
  const ended = jobs.value.filter((j) => !running.includes(j));
  const going = new Set(jobs.value.filter((j) => j.state !== "failed" && j.state !== "cancelled").flatMap(filesOf));
  const here = new Set(sendings.value.map((s) => s.name));
  const waiting = files.filter((f) => !f.sessions.length && !going.has(f.name) && !here.has(f.name));
  const cards = sendings.value.filter((s) => !s.job && !going.has(s.name));
  // Files still to be measured first; another camera's may have been measured before.
  const stands = [...files].sort((a, b) => Number(a.sessions.length > 0) - Number(b.sessions.length > 0)).map((f) => f.name);
  const othersThan = (name: string) => stands.filter((n) => n !== name);
  return (
    <>
      <Title>Add clips and logs</Title>
      <DropZone />
      {known && <SampleDay />}
      {cards.length > 0 && (
        <ul class="plain" aria-label="Files just added">
          {cards.map((s) => (
            <SendingCard key={s.key} sending={s} logs={logs} others={othersThan(s.name)} />
          ))}
        </ul>
      )}
      {running.length > 0 && (
        <section>
          <h2>Being measured</h2>
          <JobList jobs={running} label="Being measured" />
        </section>
      )}
      {known && ended.length > 0 && (
        <section>
          <h2>Lately</h2>
          <JobList jobs={ended} label="Lately measured" />
        </section>
      )}
      {known && waiting.length > 0 && (
        <section>
          <h2>In the logbook, not measured yet</h2>
          <ul class="plain">
            {waiting.map((f) => (
              <StoredCard key={f.name} file={f} logs={logs} others={othersThan(f.name)} />
            ))}
          </ul>
        </section>
      )}
      {known && <Unfinished />}
      {known && !cards.length && <HowToFilm />}
    </>
  );
}
