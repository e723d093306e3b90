import { useEffect, useState } from "preact/hooks";
import { get, inWords, post, put } from "../api";
import { clubVersion } from "../live";
import type { Failure } from "../model";
import { Title, Trouble } from "../parts/basics";
import { PlanTabs } from "../parts/plan_tabs";
import { useUnsaved } from "../parts/use_unsaved";
import { troubleOf } from "../uploads";

/** The training plan, a text file like the roster: waves, meets, special exercises, accessory work. */

interface Reply {
  text: string;
  revision: string;
  error: Failure | null;
}

export function PlanTextPage() {
  const [stored, setStored] = useState<Reply | null>(null);
  const [text, setText] = useState("");
  const [failure, setFailure] = useState<Failure | null>(null);
  const [trouble, setTrouble] = useState("");
  const [said, setSaid] = useState("");
  const changed = stored !== null && text !== stored.text;
  useUnsaved(changed);

  function take(r: Reply) {
    setStored(r);
    setText(r.text);
    setFailure(r.error);
    setTrouble("");
  }
  useEffect(() => {
    if (!changed) get<Reply>("/api/plan-text").then(take, (cause) => setTrouble(troubleOf(cause)));
  }, [clubVersion.value]);
  useEffect(() => {
    if (!changed) return;
    setSaid("");
    const later = setTimeout(() => {
      post<{ error: Failure | null }>("/api/plan-text/check", { text }).then(
        (r) => setFailure(r.error),
        (cause) => setTrouble(troubleOf(cause)),
      );
    }, 250);
    return () => clearTimeout(later);
  }, [text]);

  async function save() {
    try {
      take(await put<Reply>("/api/plan-text", { text, revision: stored?.revision ?? null }));
      setSaid("Saved. The one before is kept in the logbook.");
    } catch (cause) {
      setTrouble(troubleOf(cause));
    }
  }

  return (
    <>
      <Title>The plan</Title>
      <PlanTabs here="plan-text" />
      {stored && <label class="field wide">
        <span class="field-label">The plan as text</span>
        <textarea class="roster-text" spellcheck={false} rows={26} value={text} onInput={(e) => setText(e.currentTarget.value)} />
      </label>}
      {failure && <Trouble words={inWords(failure)} />}
      <Trouble words={trouble} />
      <div class="actions">
        <button type="button" class="main" disabled={!changed || failure !== null} onClick={() => void save()}>
          Save the plan
        </button>
        <button type="button" disabled={!changed} onClick={() => stored && take(stored)}>
          Put back
        </button>
        <span class="hint" role="status">
          {said || (changed ? (failure ? "Cannot be saved yet." : "Not saved yet.") : "")}
        </span>
      </div>
    </>
  );
}
