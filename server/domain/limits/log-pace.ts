const MINUTE_MS = 60_000;
/** Kinds of refusal that are paced apart; there are a handful. */
const MAX_KINDS = 100;

type Pace = { startedMs: number; lines: number; left: number };

/**
 * Paces what the log says of refusals, which anybody on the network can cause: the first lines of a minute as they
 * are, then only how many more there were.
 * @returns whether the line may be written, and how many of the kind were left out before it
 */
export function createLogPace(linesPerMinute: number) {
  const paces = new Map<string, Pace>();
  return (kind: string, nowMs: number): { readonly write: boolean; readonly leftOut: number } => {
    const known = paces.get(kind);
    if (known === undefined || nowMs - known.startedMs >= MINUTE_MS || nowMs < known.startedMs) {
      if (paces.size >= MAX_KINDS) paces.clear();
      paces.set(kind, { startedMs: nowMs, lines: 1, left: 0 });
      return { write: true, leftOut: known?.left ?? 0 };
    }
    if (known.lines < linesPerMinute) {
      known.lines += 1;
      return { write: true, leftOut: 0 };
    }
    known.left += 1;
    return { write: false, leftOut: 0 };
  };
}
