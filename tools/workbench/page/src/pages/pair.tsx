import { useState } from "preact/hooks";
import { ServerError } from "../api";
import { pair } from "../live";
import { Trouble } from "../parts/basics";
import { troubleOf } from "../uploads";

/** A phone on the gym's network shows that it may: by the code that the laptop shows. */
export function PairPage() {
  const [code, setCode] = useState("");
  const [trouble, setTrouble] = useState("");
  const [busy, setBusy] = useState(false);

  async function submit(e: Event) {
    e.preventDefault();
    setBusy(true);
    setTrouble("");
    try {
      await pair(code.replace(/\s/g, ""));
    } catch (cause) {
      const wrong = cause instanceof ServerError && cause.status === 403;
      setTrouble(wrong ? "That is not the code. Look at the laptop again and type all its digits." : troubleOf(cause));
    } finally {
      setBusy(false);
    }
  }

  return (
    <main id="main" class="pair">
      <form onSubmit={submit} class="card">
        <h1>Pair this device</h1>
        <p>The laptop shows a code under Club, “Phone at the rack”. Type it here once.</p>
        <label class="field">
          <span class="field-label">Code</span>
          <input
            class="code"
            inputMode="numeric"
            autocomplete="one-time-code"
            required
            value={code}
            onInput={(e) => setCode(e.currentTarget.value)}
          />
        </label>
        <Trouble words={trouble} />
        <button class="main" disabled={busy || !code}>
          Pair
        </button>
      </form>
    </main>
  );
}
