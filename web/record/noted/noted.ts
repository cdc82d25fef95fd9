import type { Alarm, AlarmEvent } from '../../../shared/model/alarms/alarm.ts';
import { RULES } from '../../../shared/rules/rules.ts';
import type { Batch } from '../../../shared/wire/cuttings/batches.ts';
import type { DiaryEntry } from '../../../shared/wire/cuttings/diary.ts';
import type { VentView } from '../../../shared/wire/http.ts';
import { type At, batchName, STAGE_NAMES } from '../../batches/words.ts';
import type { View } from '../../common/plot.ts';
import { kindWords, markWords } from '../../diary/words.ts';

/** What happened at a moment of a record: what people wrote down, alarms, stages of batches, vents that were recognised. */
export type Noted = {
  readonly atMs: number;
  /** beside its line on the chart */
  readonly label: string;
  /** in the table beside the chart */
  readonly words: string;
};

/** An alarm with what happened to it. */
export type AlarmHistory = { readonly alarm: Alarm; readonly events: readonly AlarmEvent[] };

type Happened = {
  readonly entries: readonly DiaryEntry[];
  readonly alarms: readonly AlarmHistory[];
  readonly batches: readonly Batch[];
  readonly vents: readonly VentView[];
};

/** All that happened at a place within a view, the earliest first. */
export function notedOf(placeId: string, happened: Happened, { view, at }: { view: View; at: At }): Noted[] {
  const { entries, alarms, batches, vents } = happened;
  // entries were fetched for the view, and one written just now lies at its very end
  const written = entries.map((entry) => ({
    atMs: Date.parse(entry.at),
    label: kindWords(entry).toLowerCase(),
    words: markWords(entry, at),
  }));
  const others = [
    ...alarms.flatMap(raisingsOf),
    ...batches.flatMap((batch) => stagesAt(placeId, batch)),
    ...vents.filter(({ how }) => how === 'recognised').map(ventNoted),
  ].filter(({ atMs }) => atMs >= view.fromMs && atMs <= view.toMs);
  return [...written, ...others].sort((one, other) => one.atMs - other.atMs);
}

function raisingsOf({ alarm, events }: AlarmHistory): Noted[] {
  const { name } = RULES[alarm.rule];
  return events
    .filter(({ transition }) => transition === 'raised')
    .map(({ atMs }) => ({ atMs, label: `alarm: ${name}`, words: `Alarm raised: ${name}` }));
}

/** Stages that a batch began while it stood at the place. */
function stagesAt(placeId: string, batch: Batch): Noted[] {
  const wasHere = (atMs: number) =>
    batch.stays.some(
      ({ placeId: id, from, to }) =>
        id === placeId && Date.parse(from) <= atMs && (to === null || atMs < Date.parse(to)),
    );
  return batch.stages
    .map(({ stage, from }) => ({ atMs: Date.parse(from), name: STAGE_NAMES[stage].name }))
    .filter(({ atMs }) => wasHere(atMs))
    .map(({ atMs, name }) => ({
      atMs,
      label: name.toLowerCase(),
      words: `${batchName(batch)}: ${name.toLowerCase()} begins`,
    }));
}

function ventNoted({ from }: VentView): Noted {
  return { atMs: Date.parse(from), label: 'vent', words: 'Vent, recognised from the air' };
}
