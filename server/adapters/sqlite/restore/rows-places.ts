import { z } from 'zod';
import { DEVICE_NAME } from '../../../../firmware-contracts/v1/limits.ts';
import {
  batchBodySchema,
  countSchema,
  MAX_BATCHES,
  stageSchema,
} from '../../../../shared/model/cuttings/batch.ts';
import { DIARY_KINDS, MAX_DIARY_ENTRIES, PHOTO_NAME } from '../../../../shared/model/cuttings/diary.ts';
import { MAX_PREPARATIONS, preparationBodySchema } from '../../../../shared/model/cuttings/preparation.ts';
import {
  MAX_OWN_SHEET_VERSIONS,
  sheetIdSchema,
  sheetSchema,
} from '../../../../shared/model/cuttings/sheet.ts';
import { PLACE_KINDS, placePatchSchema, readPlaceSettings } from '../../../../shared/model/place.ts';
import { checkBodySchema } from '../../../../shared/model/probes/check.ts';
import { correctionLimits } from '../../../../shared/model/probes/correction.ts';
import { readTargets } from '../../../domain/places/default-targets.ts';
import {
  bodyOf,
  count,
  finite,
  flag,
  id,
  json,
  like,
  line,
  oneOf,
  type Row,
  type RowCheck,
  type RowContext,
  text,
  timeMs,
  type Verdict,
} from './row-check.ts';

export const placeId = like(DEVICE_NAME, 'is no name of a place');
const placeName = placePatchSchema.shape.name.unwrap();
/** Entries of a batch are numbered up to here. */
const MAX_N = 1_000_000;
/** Most characters of a setting's name that are repeated. */
const MAX_SHOWN_CHARS = 40;

export const place: RowCheck = {
  key: ['id'],
  columns: {
    id: placeId,
    name: placeName,
    kind: z.enum(PLACE_KINDS),
    invented: flag,
    settings: text(65_536),
    archive_id: id.nullable(),
  },
  fixed(row, { archiveItems }) {
    const { settings, defaulted } = readPlaceSettings(String(row['settings']));
    const nameFits = placeName.safeParse(row['name']).success;
    const kindFits = PLACE_KINDS.some((kind) => kind === row['kind']);
    const archived = row['archive_id'] === null || archiveItems.has(Number(row['archive_id']));
    const changed = [
      ...defaulted.map((name) => `setting ${name.slice(0, MAX_SHOWN_CHARS)} is the default now`),
      ...(nameFits ? [] : ['its name does not fit, so it is named by its id']),
      ...(kindFits ? [] : ['its kind is not known, so it is unstated']),
      ...(archived ? [] : ['what archived it is not there, so it is no longer archived']),
    ];
    if (changed.length === 0) return { row };
    const mended = {
      ...row,
      name: nameFits ? row['name'] : row['id'],
      kind: kindFits ? row['kind'] : 'unstated',
      settings: defaulted.length === 0 ? row['settings'] : JSON.stringify(settings),
      archive_id: archived ? row['archive_id'] : null,
    };
    return { row: mended, changed: changed.join('; ') };
  },
  copied: (row, { places }) => void places.add(String(row['id'])),
};

export const targets: RowCheck = {
  key: ['place_id', 'id'],
  columns: {
    id,
    place_id: placeId,
    from_ms: timeMs,
    entered_ms: timeMs,
    body: text(65_536),
    entered: count,
    of_batches: flag,
  },
  // an edit that does not fit is kept as the one before it: exposures that were settled count the edits
  fixed(row, context) {
    const before = context.targets.get(String(row['place_id']));
    const read = readTargets([...(before === undefined ? [] : [before]), String(row['body'])]).at(-1);
    if (!read?.defaulted) return { row };
    return {
      row: { ...row, body: JSON.stringify(read.targets) },
      changed: 'the targets do not fit, so those before them hold on',
    };
  },
  copied: (row, context) => void context.targets.set(String(row['place_id']), String(row['body'])),
};

const by = line(80).nullable();

export const correction: RowCheck = {
  key: ['probe_id', 'id'],
  columns: {
    id,
    probe_id: id,
    from_ms: timeMs,
    gain: finite,
    offset: finite,
    reason: line(200),
    by_name: by,
    entered_ms: timeMs,
    check_id: id.nullable(),
    withdrawn_ms: timeMs.nullable(),
    withdrawn_by: by,
  },
  whole(row, { probes }) {
    const limits = correctionLimits(probes.get(Number(row['probe_id'])) ?? null);
    const within =
      limits !== null && isWithin(row, 'gain', limits.gain) && isWithin(row, 'offset', limits.offset);
    return within ? { row } : { leftOut: 'it corrects more than a probe of this kind can be off by' };
  },
};

function isWithin(row: Row, column: string, [low, high]: readonly [number, number]): boolean {
  return Number(row[column]) >= low && Number(row[column]) <= high;
}

export const probeCheck: RowCheck = {
  key: ['probe_id', 'id'],
  columns: {
    id,
    probe_id: id,
    started_ms: timeMs,
    ended_ms: timeMs.nullable(),
    body: json(checkBodySchema),
  },
};

export const checkDue: RowCheck = { key: ['probe_id'], columns: { probe_id: id, due_ms: timeMs } };

/** A place that is not in the record any more is none: what was known of the batch besides stays. */
function withoutLostPlace(row: Row, { places }: RowContext): Verdict {
  if (row['place_id'] === null || places.has(String(row['place_id']))) return { row };
  return { row: { ...row, place_id: null }, changed: 'its place is not there, so it is taken for removed' };
}

export const batch: RowCheck = {
  key: ['id'],
  most: MAX_BATCHES,
  columns: {
    id,
    place_id: placeId.nullable(),
    stuck_ms: timeMs,
    entered: count,
    closed_ms: timeMs.nullable(),
    closed_entered: count.nullable(),
    deleted_ms: timeMs.nullable(),
    body: json(batchBodySchema),
  },
  fixed: withoutLostPlace,
  whole(row) {
    if ((row['closed_ms'] === null) !== (row['closed_entered'] === null))
      return { leftOut: 'when it was closed does not fit' };
    const { sheets } = bodyOf(row, 'body', batchBodySchema);
    const rises = sheets.every(
      ({ fromMs }, i) => fromMs > (sheets[i - 1]?.fromMs ?? Number.NEGATIVE_INFINITY),
    );
    return rises && sheets[0]?.fromMs === row['stuck_ms']
      ? { row }
      : { leftOut: 'its sheets do not follow each other from when it was stuck' };
  },
  copied: (row, { batches }) => void batches.set(Number(row['id']), Number(row['stuck_ms'])),
};

const ofBatch = {
  batch_id: id,
  n: z.int('is no whole number').min(1, 'is below 1').max(MAX_N, 'is too large'),
};
const AFTER = 'it holds from before its batch was stuck';

/** What was entered of a batch holds from no earlier than it was stuck. @param of moves come after it */
const afterSticking =
  (column: string, of: 'at' | 'after'): NonNullable<RowCheck['whole']> =>
  (row, { batches }) => {
    const stuckMs = batches.get(Number(row['batch_id']));
    if (stuckMs === undefined) return { leftOut: 'its batch is not there' };
    const lateMs = Number(row[column]) - stuckMs;
    return lateMs > 0 || (of === 'at' && lateMs === 0) ? { row } : { leftOut: AFTER };
  };

export const batchStage: RowCheck = {
  key: ['batch_id', 'n'],
  columns: { ...ofBatch, stage: stageSchema, from_ms: timeMs, entered: count },
  whole: afterSticking('from_ms', 'at'),
};

export const batchMove: RowCheck = {
  key: ['batch_id', 'n'],
  columns: { ...ofBatch, place_id: placeId.nullable(), from_ms: timeMs, entered: count },
  fixed: withoutLostPlace,
  whole: afterSticking('from_ms', 'after'),
};

export const batchCount: RowCheck = {
  key: ['batch_id', 'n'],
  columns: { ...ofBatch, at_ms: timeMs, body: json(countSchema) },
  whole: afterSticking('at_ms', 'at'),
};

/** What hangs on nothing any more has had its time, unless it was deleted: then it can still be restored. */
export const diaryEntry: RowCheck = {
  key: ['place_id', 'id'],
  most: MAX_DIARY_ENTRIES,
  columns: {
    id,
    place_id: placeId.nullable(),
    batch_id: id.nullable(),
    kind: oneOf(DIARY_KINDS),
    at_ms: timeMs,
    to_ms: timeMs.nullable(),
    note: text(2_000).nullable(),
    by_name: by,
    photo: like(PHOTO_NAME, 'is no name of a photo').nullable(),
    deleted_ms: timeMs.nullable(),
  },
  fixed(row, context) {
    const placed = withoutLostPlace(row, context);
    const batchId = row['batch_id'];
    if (!('row' in placed) || batchId === null || context.batches.has(Number(batchId))) return placed;
    const changed = 'its batch is not there, so it is taken for removed';
    return { row: { ...placed.row, batch_id: null }, changed };
  },
  whole: (row) =>
    row['to_ms'] === null || Number(row['to_ms']) >= Number(row['at_ms'])
      ? { row }
      : { leftOut: 'it ends before it begins' },
};

export const leading: RowCheck = {
  key: ['place_id', 'id'],
  columns: { id, place_id: placeId, batch_id: id.nullable(), from_ms: timeMs, entered: count },
};

const sheetContentSchema = sheetSchema.omit({ id: true, version: true, own: true });

export const ownSheet: RowCheck = {
  key: ['id', 'version'],
  columns: {
    id: sheetIdSchema,
    version: id,
    body: json(sheetContentSchema),
    made_ms: timeMs,
    removed_ms: timeMs.nullable(),
  },
  most: MAX_OWN_SHEET_VERSIONS,
};

export const preparation: RowCheck = {
  key: ['id'],
  most: MAX_PREPARATIONS,
  columns: {
    id,
    batch_id: id.nullable(),
    deleted_ms: timeMs.nullable(),
    body: json(preparationBodySchema),
  },
  fixed(row, { batches }) {
    if (row['batch_id'] === null || batches.has(Number(row['batch_id']))) return { row };
    return { row: { ...row, batch_id: null }, changed: 'the batch it became is not there, so it is open' };
  },
};
