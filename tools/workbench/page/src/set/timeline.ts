/** Places in a column of rising times. */

/** Index of the last entry at or before t; 0 when there is none. */
export function indexAt(t_s: number[], t: number): number {
  let lo = 0;
  let hi = t_s.length - 1;
  while (lo < hi) {
    const mid = (lo + hi + 1) >> 1;
    if (t_s[mid]! <= t) lo = mid;
    else hi = mid - 1;
  }
  return Math.max(0, lo);
}

/** The entry nearest to t. */
export function nearest(t_s: number[], t: number): number {
  const i = indexAt(t_s, t);
  return i + 1 < t_s.length && t_s[i + 1]! - t < t - t_s[i]! ? i + 1 : i;
}
