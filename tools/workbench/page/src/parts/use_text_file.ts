import { useEffect, useRef, useState } from "preact/hooks";
import { get, post, put } from "../api";
import { troubleOf } from "../uploads";
import { useUnsaved } from "./use_unsaved";

/**
 * A text of the logbook that is worked on here: roster, plan, sheet. What is typed is checked as soon as the hand rests,
 * saved when asked, and never overwritten by an answer that comes late.
 */

const kRest_ms = 250;

/** `Reply` is what the server answers to reading and saving; its part `Check`, to a check. */
export function useTextFile<Check, Reply extends Check & { text: string; revision: string | null }>(props: {
  address: string;
  /** The text is read again when this changes, unless something is unsaved. */
  again: unknown;
  /** How the text is written here: a sheet's grid writes each row its own way. */
  normal?: (text: string) => string;
  onTaken?: (reply: Reply) => void;
}) {
  const { address, again, normal = (t) => t, onTaken } = props;
  const [stored, setStored] = useState<Reply | null>(null);
  const [text, setText] = useState("");
  const [checked, setChecked] = useState<Check | null>(null);
  const [trouble, setTrouble] = useState("");
  const [said, setSaid] = useState("");
  const changed = stored !== null && text !== normal(stored.text);
  useUnsaved(changed);
  const now = useRef({ text, changed });
  now.current = { text, changed };
  const say = (cause: unknown) => setTrouble(troubleOf(cause));

  function take(reply: Reply) {
    setStored(reply);
    setText(normal(reply.text));
    setChecked(reply);
    setTrouble("");
    onTaken?.(reply);
  }
  useEffect(() => {
    if (now.current.changed) return;
    const control = new AbortController();
    get<Reply>(address, control.signal).then(
      (reply) => now.current.changed || take(reply),
      (cause) => control.signal.aborted || say(cause),
    );
    return () => control.abort();
  }, [address, again]);

  useEffect(() => {
    if (!changed) return setChecked(stored); // also after a way back to what is stored
    setSaid("");
    const control = new AbortController();
    const rest = setTimeout(() => {
      post<Check>(`${address}/check`, { text }, control.signal).then(
        (check) => (setChecked(check), setTrouble("")),
        (cause) => control.signal.aborted || say(cause),
      );
    }, kRest_ms);
    return () => {
      clearTimeout(rest);
      control.abort();
    };
  }, [text, changed]);

  async function save() {
    try {
      const reply = await put<Reply>(address, { text, revision: stored?.revision ?? null });
      if (now.current.text === text) take(reply);
      else setStored(reply); // more was typed meanwhile
      setTrouble("");
      setSaid("Saved. The one before is kept in the logbook.");
    } catch (cause) {
      say(cause);
    }
  }

  return { stored, text, setText, changed, checked, trouble, said, save, putBack: () => stored && take(stored) };
}
