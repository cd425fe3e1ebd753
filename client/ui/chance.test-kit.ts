// Chance that can be repeated: one number decides everything, and a failing test names it.

/** chance gives whole numbers below n, the same row for the same seed (xorshift, from memory). */
export function chance(seed: number): (n: number) => number {
  let x = (seed * 2654435761) >>> 0 || 1;
  return (n) => {
    x ^= x << 13; x >>>= 0;
    x ^= x >>> 17;
    x ^= x << 5; x >>>= 0;
    return x % n;
  };
}

/** seeds are those that failed once, kept for ever, and then the first n. */
export const seeds = (n: number, ...kept: number[]) => [...kept, ...Array.from({ length: n }, (_, i) => i + 1)];
