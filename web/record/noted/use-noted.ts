import { call, spanQuery } from '../../api.ts';
import { batchesOf } from '../../batches/batch-api.ts';
import { useLoaded } from '../../common/hooks.ts';
import type { View } from '../../common/plot.ts';
import { useEntriesIn } from '../../diary/diary-api.ts';
import { may } from '../../settings/access.ts';
import { reader } from '../../state.ts';
import { type AlarmHistory, type Noted, notedOf } from './noted.ts';

/** Over more, vents and pulses of mist are too many for a chart. */
const CLOSE_VIEW_MS = 3 * 86_400_000;
/** More events of one alarm are no marks any more. */
const MOST_EVENTS = 200;

/** What happened in a view beside the readings, and when mist pulses began. */
type NotedView = { readonly noted: readonly Noted[]; readonly pulsesMs: readonly number[] };

const NOTHING: NotedView = { noted: [], pulsesMs: [] };

async function alarmsIn(placeId: string, view: View): Promise<AlarmHistory[]> {
  const { alarms } = await call('listAlarms', { query: spanQuery(view) });
  const here = alarms.filter((alarm) => alarm.placeId === placeId);
  return Promise.all(
    here.map(async (alarm) => {
      const query = { limit: MOST_EVENTS };
      return { alarm, events: (await call('listAlarmEvents', { params: { id: alarm.id }, query })).events };
    }),
  );
}

/** Fetched once a view rests; while it is fetched, what was known before stays. */
export function useNoted(placeId: string, view: View | null): NotedView {
  const entries = useEntriesIn(placeId, view);
  const isClose = view !== null && view.toMs - view.fromMs <= CLOSE_VIEW_MS;
  const { value } = useLoaded(`noted ${placeId} ${view?.fromMs} ${view?.toMs}`, async () => {
    if (view === null) return null;
    const params = { id: placeId };
    const query = spanQuery(view);
    const [alarms, batches, vents, mist] = await Promise.all([
      alarmsIn(placeId, view),
      may('listBatches') ? batchesOf({ placeId }) : [],
      isClose ? call('listVents', { params, query }).then((answer) => answer.vents) : [],
      isClose ? call('getMist', { params, query }).then((answer) => answer.pulseTimes ?? []) : [],
    ]);
    return { alarms, batches, vents, pulsesMs: mist.map((time) => Date.parse(time)) };
  });
  if (view === null) return NOTHING;
  const { alarms = [], batches = [], vents = [], pulsesMs = [] } = value ?? {};
  const at = { view, at: reader.value };
  return { noted: notedOf(placeId, { entries, alarms, batches, vents }, at), pulsesMs };
}
