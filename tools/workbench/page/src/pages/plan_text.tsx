import { inWords } from "../api";
import { clubVersion } from "../live";
import type { Failure } from "../model";
import { Title, Trouble } from "../parts/basics";
import { PlanTabs } from "../parts/plan_tabs";
import { useTextFile } from "../parts/use_text_file";

/** The training plan, a text file like the roster: waves, meets, special exercises, accessory work. */

interface Check {
  error: Failure | null;
}
interface Reply extends Check {
  text: string;
  revision: string;
}

export function PlanTextPage() {
  const { stored, text, setText, changed, checked, trouble, said, save, putBack } = useTextFile<Check, Reply>({ address: "/api/plan-text", again: clubVersion.value });
  const failure = checked?.error ?? null;
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
        <button type="button" disabled={!changed} onClick={putBack}>
          Put back
        </button>
        <span class="hint" role="status">
          {said || (changed ? (failure ? "Cannot be saved yet." : "Not saved yet.") : "")}
        </span>
      </div>
    </>
  );
}
