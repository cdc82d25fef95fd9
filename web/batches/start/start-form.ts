import type { Sheet } from '../../../shared/model/cuttings/sheet.ts';
import type { Batch } from '../../../shared/wire/cuttings/batches.ts';
import type { PlaceSummary } from '../../../shared/wire/http.ts';
import { instantOfWall } from '../../common/time.ts';
import { heldOf } from '../care/held-form.ts';

/** What the form for a new batch holds; `stuckAt` is a wall-clock time of the installation. */
export type StartValues = {
  readonly crop: string;
  readonly sheetId: string;
  readonly placeId: string;
  readonly stuckAt: string;
  readonly count: string;
  readonly cultivar: string;
  readonly nodes: string;
  readonly cutAt: string;
  readonly cutHour: string;
  readonly boxOpenedAt: string;
};

type NewBatch = {
  readonly crop: string;
  readonly sheetId: string;
  readonly placeId: string;
  readonly stuckAt: string;
  readonly count: number;
  readonly cultivar?: string;
  readonly nodes?: number;
  readonly cutAt?: string;
  readonly cutHour?: number;
  readonly boxOpenedAt?: string;
};

/** Most nodes of one cutting. */
const MAX_NODES = 100;

type Place = Pick<PlaceSummary, 'id' | 'kind' | 'settings'>;
type KnownSheet = Pick<Sheet, 'id' | 'crop' | 'placeKinds' | 'bottomHeat' | 'cuttingType'>;

/** Crops to choose from: those grown before, newest first, then those of the sheets by name. */
export function cropsOf(
  sheets: readonly Pick<Sheet, 'crop'>[],
  batches: readonly Pick<Batch, 'crop'>[],
): { readonly grown: readonly string[]; readonly others: readonly string[] } {
  const grown = [...new Set(batches.map(({ crop }) => crop))];
  const known = new Set(grown.map(plain));
  const others = [...new Set(sheets.map(({ crop }) => crop))].filter((crop) => !known.has(plain(crop)));
  return { grown, others: others.sort((a, b) => a.localeCompare(b)) };
}

const plain = (text: string) => text.trim().toLowerCase();

/** How well a sheet fits, for its order in the list: its crop counts most, then the kind of place, then bottom heat. */
function fitOf(sheet: KnownSheet, { crop, place }: { crop: string; place: Place | undefined }): number {
  const isCrop = plain(sheet.crop) === plain(crop);
  const isKind = place !== undefined && sheet.placeKinds.some((kind) => kind === place.kind);
  const isHeat = place !== undefined && sheet.bottomHeat === (place.settings.mat ?? true);
  const isType = place !== undefined && sheet.cuttingType === place.settings.roots;
  return (isCrop ? 8 : 0) + (isKind ? 4 : 0) + (isHeat ? 2 : 0) + (isType ? 1 : 0);
}

/** The sheets in the order in which they fit crop and place. */
export function sheetsByFit<S extends KnownSheet & Pick<Sheet, 'name'>>(
  sheets: readonly S[],
  of: { readonly crop: string; readonly place: Place | undefined },
): S[] {
  return sheets.toSorted((a, b) => fitOf(b, of) - fitOf(a, of) || a.name.localeCompare(b.name));
}

type Read =
  | { readonly body: NewBatch; readonly errors: null }
  | { readonly body: null; readonly errors: Readonly<Record<string, string>> };

/**
 * The inputs as a batch to start, or what is wrong with them.
 * @param at.nowMs the present, ms since epoch: nothing is stuck later
 */
export function newBatchOf(values: StartValues, at: { nowMs: number; timeZone: string }): Read {
  const crop = values.crop.trim();
  const count = Number(values.count.trim());
  const stuckMs = instantOfWall({ wall: values.stuckAt, timeZone: at.timeZone });
  const more = moreOf(values, { stuckMs: stuckMs ?? at.nowMs, timeZone: at.timeZone });
  const errors = {
    ...(crop === '' ? { crop: 'what is it?' } : {}),
    ...(values.sheetId === '' ? { sheetId: 'choose a target sheet' } : {}),
    ...(values.placeId === '' ? { placeId: 'where does it stand?' } : {}),
    ...(Number.isInteger(count) && count >= 1 ? {} : { count: 'how many cuttings? A whole number from 1.' }),
    ...stuckFault(stuckMs, at.nowMs),
    ...more.errors,
  };
  if (Object.keys(errors).length > 0 || stuckMs === null) return { body: null, errors };
  const cultivar = values.cultivar.trim();
  const { sheetId, placeId } = values;
  return {
    body: {
      crop,
      sheetId,
      placeId,
      // the minute of the form is over when it is sent
      stuckAt: new Date(Math.min(stuckMs, at.nowMs)).toISOString(),
      count,
      ...(cultivar === '' ? {} : { cultivar }),
      ...more.noted,
    },
    errors: null,
  };
}

type More = {
  readonly noted: Pick<NewBatch, 'nodes' | 'cutAt' | 'cutHour' | 'boxOpenedAt'>;
  readonly errors: Readonly<Record<string, string>>;
};

/** What is noted of the cuttings themselves, as far as anything was typed. */
function moreOf(values: StartValues, at: { stuckMs: number; timeZone: string }): More {
  const typed = values.nodes.trim();
  const nodes = Number(typed);
  const isNodes = typed === '' || (Number.isInteger(nodes) && nodes >= 1 && nodes <= MAX_NODES);
  const held = heldOf({ ...values, boxPlaceId: '' }, at);
  const { cutAt = null, cutHour = null, boxOpenedAt = null } = held.body ?? {};
  return {
    noted: {
      ...(typed === '' ? {} : { nodes }),
      ...(cutAt === null ? {} : { cutAt }),
      ...(cutHour === null ? {} : { cutHour }),
      ...(boxOpenedAt === null ? {} : { boxOpenedAt }),
    },
    errors: { ...held.errors, ...(isNodes ? {} : { nodes: `a whole number from 1 to ${MAX_NODES}` }) },
  };
}

function stuckFault(stuckMs: number | null, nowMs: number): { stuckAt?: string } {
  if (stuckMs === null) return { stuckAt: 'when was it stuck?' };
  return stuckMs > nowMs ? { stuckAt: 'that is still to come' } : {};
}
