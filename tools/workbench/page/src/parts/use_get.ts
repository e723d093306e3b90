import { useEffect, useState } from "preact/hooks";
import { get } from "../api";
import { troubleOf } from "../uploads";

/** What the server answers at an address, asked again whenever the address or `again` changes. */
export function useGet<T>(address: string | null, again: unknown = null): { reply: T | null; trouble: string; ready: boolean } {
  const [got, setGot] = useState<{ address: string; reply: T | null; trouble: string }>({ address: "", reply: null, trouble: "" });
  useEffect(() => {
    if (!address) return;
    const control = new AbortController();
    get<T>(address, control.signal).then(
      (reply) => setGot({ address, reply, trouble: "" }),
      (cause) => {
        if (!control.signal.aborted) setGot({ address, reply: null, trouble: troubleOf(cause) });
      },
    );
    return () => control.abort();
  }, [address, again]);
  if (!address) return { reply: null, trouble: "", ready: true };
  return got.address === address ? { ...got, ready: true } : { reply: null, trouble: "", ready: false };
}

export const query = (names: Record<string, string>) =>
  "?" + Object.entries(names).filter(([, v]) => v).map(([k, v]) => `${k}=${encodeURIComponent(v)}`).join("&");
