import { MAX_FUTURE_MS } from '../../../firmware-contracts/v1/limits.ts';
import { Fault } from '../../../shared/faults.ts';
import type { ClockJump, NewClockJump } from '../../../shared/model/clock.ts';
import { EARLIEST_RIGHT_MS, undoes, type WrongEra } from '../../domain/clock/steadiness.ts';
import type { GroupSpan, SteadyClock, Store } from '../../ports.ts';

/** Jumps that are looked through for one that was undone, and that wait at most for a record that refuses. */
const MAX_EXAMINED = 100;
const MAX_CATCH_UP = 16;

/** What is still to be written down about a jump, or about a clock that is steady again. */
type CatchUpStep = {
  readonly jump: NewClockJump | null;
  readonly wrong: readonly WrongEra[];
  readonly aside: boolean;
};

type CatchUpDeps = { readonly store: Store; readonly clock: SteadyClock };

/** What is to be written down about the clock: tried again at each check for as long as the record refuses. */
export function createCatchUp(deps: CatchUpDeps) {
  let catchUp: CatchUpStep[] = [];
  return {
    add(one: CatchUpStep): void {
      catchUp = [...catchUp.slice(1 - MAX_CATCH_UP), one];
    },
    pay(): void {
      try {
        for (let next = catchUp[0]; next; next = catchUp[0]) {
          settle(next, deps);
          catchUp = catchUp.slice(1);
        }
      } catch (cause) {
        if (!(cause instanceof Fault)) throw cause;
      }
    },
  };
}

/** Writes down a jump, and sets aside what is known now to be dated by a wrong clock. */
function settle({ jump, wrong, aside }: CatchUpStep, { store, clock }: CatchUpDeps): void {
  const { clock: record } = store;
  store.transaction(() => {
    const kept = jump === null ? record.jumps(1)[0] : record.addJump(jump);
    if (!kept) return;
    if (jump) for (const earlier of undone(kept, record.jumps(MAX_EXAMINED))) record.takeBack(earlier.id);
    const nowMs = clock.nowMs();
    // a clock that is certainly wrong decides about nothing
    if (!aside || nowMs < EARLIEST_RIGHT_MS) return;
    const groups = wrong.flatMap(spanOf);
    record.setAside({ jumpId: kept.id, afterMs: nowMs + MAX_FUTURE_MS, groups });
  });
}

function undone(jump: ClockJump, before: readonly ClockJump[]): ClockJump[] {
  return before.filter((earlier) => earlier.id < jump.id && undoes(jump, earlier));
}

/** Which groups hold the readings of a stretch, where that is known still, and how its own clock dated them. */
function spanOf({ era, upToGroup }: WrongEra): GroupSpan[] {
  const { afterGroup, first, lastWallMs } = era;
  if (afterGroup === null || upToGroup === null) return [];
  return [{ afterGroup, upToGroup, fromMs: first.wallMs - MAX_FUTURE_MS, toMs: lastWallMs + MAX_FUTURE_MS }];
}
