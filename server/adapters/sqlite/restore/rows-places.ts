import { z } from 'zod';
import { DEVICE_NAME } from '../../../../firmware-contracts/v1/limits.ts';
import { checkBodySchema } from '../../../../shared/model/check.ts';
import { correctionLimits } from '../../../../shared/model/correction.ts';
import { PLACE_KINDS, placePatchSchema, readPlaceSettings } from '../../../../shared/model/place.ts';
import { readTargets } from '../../../domain/places/default-targets.ts';
import { flag, id, json, line, type Row, type RowCheck, text, timeMs } from './row-check.ts';

const placeId = z.string().regex(DEVICE_NAME);
const reason = line(200);

const place: RowCheck = {
  columns: {
    id: placeId,
    name: placePatchSchema.shape.name,
    kind: z.enum(PLACE_KINDS),
    invented: flag,
    settings: text(65_536),
  },
  mended(row) {
    const { settings, defaulted } = readPlaceSettings(String(row['settings']));
    const nameFits = placePatchSchema.shape.name.safeParse(row['name']).success;
    const kindFits = PLACE_KINDS.some((kind) => kind === row['kind']);
    const changed = [
      ...defaulted.map((name) => `"${name}" of its settings is the default`),
      ...(nameFits ? [] : ['it is named by its id']),
      ...(kindFits ? [] : ['its kind is unstated']),
    ];
    if (changed.length === 0) return { row };
    const mendedRow = {
      ...row,
      name: nameFits ? row['name'] : row['id'],
      kind: kindFits ? row['kind'] : 'unstated',
      settings: defaulted.length === 0 ? row['settings'] : JSON.stringify(settings),
    };
    return { row: mendedRow, changed: `${String(row['id']).slice(0, 64)}: ${changed.join(', ')}` };
  },
  whole(row, { places }) {
    places.add(String(row['id']));
    return { row };
  },
};

const targets: RowCheck = {
  columns: { id, place_id: placeId, from_ms: timeMs, entered_ms: timeMs, body: text(65_536) },
  // none is left out where it can be helped: settled sums count the edits
  mended(row, context) {
    const of = String(row['place_id']);
    const before = context.targets.get(of);
    const read = readTargets([...(before === undefined ? [] : [before]), String(row['body'])]).at(-1);
    const body = read?.defaulted ? JSON.stringify(read.targets) : String(row['body']);
    context.targets.set(of, body);
    if (!read?.defaulted) return { row };
    return { row: { ...row, body }, changed: `${of.slice(0, 64)}: targets out of range are those before` };
  },
};

const vent: RowCheck = {
  columns: {
    id,
    place_id: placeId,
    from_ms: timeMs,
    to_ms: timeMs.nullable(),
    note: text(2_000).nullable(),
  },
  whole: (row) =>
    row['to_ms'] === null || Number(row['to_ms']) >= Number(row['from_ms'])
      ? { row }
      : { leftOut: 'it ends before it begins' },
};

const correction: RowCheck = {
  columns: {
    id,
    probe_id: id,
    from_ms: timeMs,
    gain: z.number(),
    offset: z.number(),
    reason,
    by_name: line(80).nullable(),
    entered_ms: timeMs,
    check_id: id.nullable(),
    withdrawn_ms: timeMs.nullable(),
    withdrawn_by: line(80).nullable(),
  },
  whole(row, { probes }) {
    const limits = correctionLimits(probes.get(Number(row['probe_id'])) ?? null);
    const within =
      limits !== null && isWithin(row, 'gain', limits.gain) && isWithin(row, 'offset', limits.offset);
    return within ? { row } : { leftOut: 'it corrects further than a probe can be adrift' };
  },
};

function isWithin(row: Row, column: string, [low, high]: readonly [number, number]): boolean {
  return Number(row[column]) >= low && Number(row[column]) <= high;
}

const probeCheck: RowCheck = {
  columns: {
    id,
    probe_id: id,
    started_ms: timeMs,
    ended_ms: timeMs.nullable(),
    body: json(checkBodySchema),
  },
};

const checkDue: RowCheck = { columns: { probe_id: id, due_ms: timeMs } };

export const PLACE_ROWS = {
  place,
  targets,
  vent,
  correction,
  probe_check: probeCheck,
  check_due: checkDue,
};
