import { DEVICE_NAME } from '../../../../firmware-contracts/v1/limits.ts';
import { Fault } from '../../../../shared/faults.ts';
import type { Place } from '../../../../shared/model/place.ts';
import type { ImportProgress } from '../../../../shared/wire/exchange.ts';
import { isTimeZone } from '../../../domain/calendar/days.ts';
import type { Clock, Exchange, ExportQuery, ImportOrder, Span } from '../../../ports.ts';
import { archivedWorld } from '../../admission/archived-world.ts';
import { requirePlace } from '../../readout/queries.ts';
import type { RecordContext } from '../../world/records.ts';
import { exposuresOver } from '../../world/settled-exposures.ts';
import type { World } from '../../world/world.ts';
import { type ExportContext, exportOf } from './export.ts';
import { type ImportContext, importFrom } from './import.ts';

type ExchangeContext = Omit<ExportContext, 'exposures'> &
  ImportContext & { readonly exposuresIn: (world: World) => ExportContext['exposures'] };

/** Exposures as exports count them: of a place in the archive nothing is kept while it is only read. */
export function exposuresOfWorld(
  context: RecordContext & { readonly clock: Clock; readonly readOnly?: boolean },
): ExchangeContext['exposuresIn'] {
  const { world, clock, readOnly = false } = context;
  return (of) => (placeId, span) =>
    exposuresOver(requirePlace(of, placeId), span, {
      ...context,
      world: of,
      nowMs: clock.nowMs(),
      readOnly: readOnly || of !== world,
    });
}

/** The record out of the installation and into it; one import at a time. */
export function createExchange(context: ExchangeContext): Exchange {
  let progress: ImportProgress | null = null;
  return {
    exportOf(placeId, { fromMs, toMs, ...query }) {
      const { place, world } = findPlace(placeId, context);
      const of = { ...context, world, exposures: context.exposuresIn(world) };
      const span = spanOf({ placeId, fromMs, toMs, what: query.what }, of);
      return { span, ...exportOf(place, { ...query, span }, of) };
    },
    async importFrom(file, order) {
      requireOrder(order);
      if (progress?.state === 'running')
        throw badRequest(
          'Another file is being imported; GET /api/v1/import shows how far it is. Try again later.',
        );
      const { device, dryRun, totalBytes } = order;
      let now: ImportProgress = {
        state: 'running',
        device,
        dryRun,
        totalBytes,
        error: null,
        bytes: 0,
        rows: 0,
        stored: 0,
      };
      progress = now;
      const advance = (step: Partial<ImportProgress>) => {
        now = { ...now, ...step };
        progress = now;
      };
      try {
        const report = await importFrom(file, order, { context, advance });
        advance({ state: 'done' });
        return report;
      } catch (cause) {
        advance({ state: 'failed', error: cause instanceof Error ? cause.message : String(cause) });
        throw cause;
      }
    },
    importProgress: () => progress,
  };
}

/** A place that is live, or in the archive: its record can be had as long as it is there. */
function findPlace(placeId: string, { world, store }: ExchangeContext): { place: Place; world: World } {
  const live = world.places.get(placeId);
  if (live) return { place: live, world };
  return archivedWorld(placeId, store) ?? { place: requirePlace(world, placeId), world };
}

type ExportQuestion = {
  placeId: string;
  fromMs: number | null;
  toMs: number | null;
  what: ExportQuery['what'];
};

/** Without a start, from the first reading on; without an end, to the newest, or for alarms to now. */
function spanOf(
  { placeId, fromMs, toMs, what }: ExportQuestion,
  { world, store, clock }: Pick<ExchangeContext, 'world' | 'store' | 'clock'>,
): Span {
  const probeIds = world.probesOf(placeId).map((probe) => probe.id);
  const newestMs = Math.max(0, ...probeIds.map((probeId) => store.journal.latest(probeId)?.tMs ?? 0));
  const isEntered = what === 'alarms' || what === 'batches' || what === 'diary';
  const endMs = toMs ?? (isEntered ? clock.nowMs() : newestMs) + 1;
  // what people enter may be older than what was read
  const firstMs = what === 'batches' || what === 'diary' ? 0 : (store.journal.oldestMs(probeIds) ?? endMs);
  const startMs = fromMs ?? Math.min(firstMs, endMs - 1);
  if (startMs < endMs) return { fromMs: startMs, toMs: endMs };
  throw badRequest('The span must have `from` before `to`.');
}

function requireOrder({ device, of = null, zone }: ImportOrder): void {
  if (!DEVICE_NAME.test(device))
    throw badRequest(`"${device}" can be no device: name it with 1 to 64 of A-Z a-z 0-9 - _ .`);
  if (of !== null && !DEVICE_NAME.test(of)) throw badRequest(`"${of}" can be no device of a file.`);
  if (zone !== null && !isTimeZone(zone))
    throw badRequest(`"${zone}" is no IANA time zone such as Asia/Tokyo.`);
}

function badRequest(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}
