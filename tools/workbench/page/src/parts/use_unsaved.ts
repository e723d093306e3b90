import { useEffect } from "preact/hooks";

/** While something written here is not saved, whoever is about to leave is asked first. */
export function useUnsaved(changed: boolean) {
  useEffect(() => {
    if (!changed) return;
    const unload = (e: BeforeUnloadEvent) => e.preventDefault();
    const follow = (e: MouseEvent) => {
      const away = (e.target as Element).closest("a[href^='#/']");
      if (away && !confirm("What you wrote here is not saved yet. Leave it?")) e.preventDefault();
    };
    addEventListener("beforeunload", unload);
    document.addEventListener("click", follow, true);
    return () => {
      removeEventListener("beforeunload", unload);
      document.removeEventListener("click", follow, true);
    };
  }, [changed]);
}
