/** A flag as a person reads it, and how sure it is. The words are the library's own. */

export interface SpokenFlag {
  words: string;
  sure: boolean;
}

export function spoken(flag: string): SpokenFlag {
  return { words: flag.replaceAll("-", " "), sure: !/^maybe\b/.test(flag) };
}

/** Every flag of a set once, and the surer one of two of a kind. */
export function gathered(flags: string[]): string[] {
  const all = new Set(flags);
  return [...all].filter((f) => !f.startsWith("maybe-") || !all.has(f.slice("maybe-".length)));
}

export const kCaution =
  "These figures describe bar movement, not technique, health or readiness: coach and lifter decide. Never add load on a number that is uncertain or not measured. Stop on pain or dizziness and see a licensed clinician.";

export const kLoadCaution =
  "Loads here are suggestions for a coach to judge, not instructions. Warm up, fix collars on both sides, set racks, safeties and trained spotters for the load at the top. Young, new, pregnant or returning lifters, and anyone with a heart, back or eye condition, need advice from a licensed professional first. The venue's and the federation's rules come before anything shown here.";
