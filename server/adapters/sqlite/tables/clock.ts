import type { ProbeRecord } from '../../../../shared/exposure/series.ts';
import type { ClockJump } from '../../../../shared/model/clock.ts';
import type { Reading } from '../../../../shared/model/probes/probe.ts';
import { shiftedCalling } from '../../../domain/clock/shifted.ts';
import { decodeBlock, encodeBlock } from '../../../domain/seal/block.ts';
import type { AsideQuery, AsideSpan, ClockRecord } from '../../../ports.ts';
import type { Db } from '../database.ts';
import type { RecordJournal } from '../readings/journal.ts';
import type { SettledHours } from '../readings/settled.ts';
import { callingBody, callingOfBody } from './alarm-body.ts';

/** Readings taken back in one turn. */
const TAKEN_BACK_A_TURN = 5_000;
/** Spans of readings set aside that are listed. */
const MOST_SPANS = 1_000;

/** Whether what was reported is forgotten for its age. */
export type Forgetting = { isHeld: boolean };

type Record = {
  readonly forgetting: Forgetting;
  readonly journal: RecordJournal;
  readonly settled: Pick<SettledHours, 'readingsCame'>;
};

/** Jumps of the clock, and what was set aside for them, in SQLite. */
export function sqliteClock(db: Db, record: Record): ClockRecord {
  return {
    ...jumps(db),
    ...asides(db, record),
    shiftPending: shiftPending(db),
    newestGroup: record.journal.newestGroup,
    keepAll(isKept) {
      record.forgetting.isHeld = isKept;
    },
  };
}

type JumpRow = Omit<ClockJump, 'exact'> & { readonly exact: number };

function jumps(db: Db): Pick<ClockRecord, 'addJump' | 'jumps'> {
  const add = db.prepare('INSERT INTO clock_jump (from_ms, to_ms, by_ms, exact) VALUES (?, ?, ?, ?)');
  const newest = db.prepare<[number], JumpRow>(
    `SELECT id, from_ms AS fromMs, to_ms AS toMs, by_ms AS byMs, exact FROM clock_jump
     ORDER BY id DESC LIMIT ?`,
  );
  return {
    addJump(jump) {
      const { fromMs, toMs, byMs, exact } = jump;
      const whole = [fromMs, toMs, byMs].map(Math.round);
      const { lastInsertRowid } = add.run(...whole, exact ? 1 : 0);
      return { id: Number(lastInsertRowid), ...jump };
    },
    jumps: (limit) => newest.all(limit).map((row) => ({ ...row, exact: row.exact === 1 })),
  };
}

type AsideKeys = 'setAside' | 'aside' | 'takeBack' | 'isReturning' | 'takeBackSome';

function asides(db: Db, { journal, settled }: Record): Pick<ClockRecord, AsideKeys> {
  const put = db.prepare(
    'INSERT INTO set_aside (jump_id, probe_id, first_ms, last_ms, count, block) VALUES (?, ?, ?, ?, ?, ?)',
  );
  const spans = db.prepare<[number], AsideSpan>(
    `SELECT jump_id AS jumpId, probe_id AS probeId, min(first_ms) AS fromMs, max(last_ms) AS toMs,
       sum(count) AS readings FROM set_aside GROUP BY jump_id, probe_id ORDER BY jump_id DESC, probe_id LIMIT ?`,
  );
  const mark = db.prepare<[number]>('UPDATE set_aside SET on_return = 1 WHERE jump_id = ?');
  const marked = db.prepare<[], { id: number; probeId: number; block: Uint8Array }>(
    'SELECT id, probe_id AS probeId, block FROM set_aside WHERE on_return = 1 ORDER BY id',
  );
  const anyMarked = db.prepare<[], { id: number }>('SELECT id FROM set_aside WHERE on_return = 1 LIMIT 1');
  const remove = db.prepare<[number]>('DELETE FROM set_aside WHERE id = ?');
  const setAside = ({ jumpId, afterMs, groups }: AsideQuery): number => {
    let count = 0;
    const ends: Reading[] = [];
    journal.takeOut({ afterMs, isMeant: meantBy({ afterMs, groups }) }, (probeId, hour) => {
      const [first, last] = endsOf(probeId, hour);
      ends.push(first, last);
      const { length } = hour.timesMs;
      put.run(jumpId, probeId, first.tMs, last.tMs, length, encodeBlock(hour));
      count += length;
    });
    // exposures that counted on them are to be counted again
    settled.readingsCame(ends);
    return count;
  };
  return {
    setAside,
    aside: () => spans.all(MOST_SPANS),
    takeBack: (jumpId) => void mark.run(jumpId),
    isReturning: () => anyMarked.get() !== undefined,
    takeBackSome() {
      let count = 0;
      const removed: number[] = [];
      for (const { id, probeId, block } of marked.iterate()) {
        const { timesMs, values } = decodeBlock(block);
        for (const [i, tMs] of timesMs.entries())
          journal.append({ probeId, tMs, value: values[i] as number });
        removed.push(id);
        count += timesMs.length;
        if (count >= TAKEN_BACK_A_TURN) break;
      }
      for (const id of removed) remove.run(id);
      return count >= TAKEN_BACK_A_TURN;
    },
  };
}

function meantBy({ afterMs, groups }: Pick<AsideQuery, 'afterMs' | 'groups'>) {
  return ({ tMs }: Reading, group: number): boolean => {
    if (afterMs !== null && tMs > afterMs) return true;
    return groups.some(
      ({ afterGroup, upToGroup, fromMs, toMs }) =>
        group > afterGroup && group <= upToGroup && tMs >= fromMs && tMs <= toMs,
    );
  };
}

function endsOf(probeId: number, { timesMs, values }: ProbeRecord): [Reading, Reading] {
  const at = (i: number): Reading => ({ probeId, tMs: timesMs[i] as number, value: values[i] as number });
  return [at(0), at(timesMs.length - 1)];
}

/** What waits for a moment of its own goes on waiting for as long as before. */
function shiftPending(db: Db): ClockRecord['shiftPending'] {
  const moves = [
    "UPDATE outbox SET created_ms = created_ms + ?, next_at_ms = next_at_ms + ? WHERE state = 'waiting'",
    'UPDATE way_failing SET since_ms = since_ms + ?',
    'UPDATE path_test SET put_ms = put_ms + ?, confirm_by_ms = confirm_by_ms + ? WHERE confirmed_ms IS NULL',
  ].map((sql) => ({ move: db.prepare(sql), times: sql.split('?').length - 1 }));
  const callings = db.prepare<[], { id: string; body: string; checkAgainMs: number | null }>(
    'SELECT alarm_id AS id, body, look_again_ms AS checkAgainMs FROM calling',
  );
  const save = db.prepare('UPDATE calling SET body = ?, look_again_ms = ? WHERE alarm_id = ?');
  return (byMs) => {
    const by = Math.round(byMs);
    for (const { move, times } of moves) move.run(...Array<number>(times).fill(by));
    for (const { id, body, checkAgainMs } of callings.all()) {
      const calling = callingOfBody(body);
      const again = checkAgainMs === null ? null : checkAgainMs + by;
      save.run(callingBody(shiftedCalling(calling, by)), again, id);
    }
  };
}
