import type { ComponentChildren } from "preact";
import { massUnit } from "../units";
import { spoken } from "../words";

/** Small pieces that every page uses. */

export function Flag({ flag }: { flag: string }) {
  const { words, sure } = spoken(flag);
  return (
    <span class={sure ? "flag sure" : "flag maybe"}>
      <span class="flag-sign" aria-hidden="true">
        {sure ? "!" : "?"}
      </span>
      {words}
    </span>
  );
}

export function Trouble({ words }: { words: string }) {
  return words ? (
    <p class="trouble" role="alert">
      {words}
    </p>
  ) : null;
}

export function Caution({ children }: { children: ComponentChildren }) {
  return (
    <aside class="caution" aria-label="Caution">
      {children}
    </aside>
  );
}

export function Field(props: { label: string; hint?: string; children: ComponentChildren; wide?: boolean }) {
  return (
    <label class={props.wide ? "field wide" : "field"}>
      <span class="field-label">{props.label}</span>
      {props.children}
      {props.hint && <span class="hint">{props.hint}</span>}
    </label>
  );
}

/** A heading, the page's own, which takes the focus when the page changes. */
export function Title({ children, beside }: { children: ComponentChildren; beside?: ComponentChildren }) {
  return (
    <header class="title">
      <h1 tabIndex={-1}>{children}</h1>
      {beside && <div class="beside">{beside}</div>}
    </header>
  );
}

export function Bar({ fraction, label }: { fraction: number | null; label: string }) {
  return (
    <progress class="bar" max={1} aria-label={label} {...(fraction === null ? {} : { value: fraction })}>
      {fraction === null ? "" : `${Math.round(100 * fraction)} %`}
    </progress>
  );
}

/** Two or more choices of which one holds. */
export function Choice<T extends string>(props: { label: string; shown?: boolean; value: T; options: [T, string][]; onChange: (v: T) => void }) {
  if (props.shown) {
    return (
      <div class="asked">
        <span class="field-label" aria-hidden="true">
          {props.label}
        </span>
        <Choice {...props} shown={false} />
      </div>
    );
  }
  return (
    <div class="choice" role="group" aria-label={props.label}>
      {props.options.map(([value, words]) => (
        <button type="button" aria-pressed={value === props.value} onClick={() => props.onChange(value)}>
          {words}
        </button>
      ))}
    </div>
  );
}

/** Sentence of a page that has nothing to show yet. */
export function Nothing({ children }: { children: ComponentChildren }) {
  return <p class="nothing">{children}</p>;
}

export const unitName = () => massUnit.value;
