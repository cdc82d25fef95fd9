import type { PlaceSummary } from '../../shared/wire/http.ts';
import { call, spanQuery } from '../api.ts';
import { DAY_MS } from '../bench/traces.ts';
import { useLoaded } from '../common/hooks.ts';
import { useMarks } from '../diary/diary-api.ts';
import { PlainChart } from '../place/other-readings.tsx';
import { nowMs } from '../state.ts';
import { LightPicture } from './light-picture.tsx';

const RENEW_MS = 600_000;
const DAYS = 14;

/** Light of a place: its last 24 hours, and its last days against what is wanted. Nothing where no light is read. */
export function PlaceLight({ place }: { readonly place: PlaceSummary }) {
  const toMs = (Math.floor(nowMs.value / RENEW_MS) + 1) * RENEW_MS;
  const span = { fromMs: toMs - DAYS * DAY_MS, toMs };
  const key = `light ${place.id} ${toMs} ${JSON.stringify([place.targets, place.settings])}`;
  const { value, problem } = useLoaded(key, () =>
    call('getLight', { params: { id: place.id }, query: spanQuery(span) }),
  );
  const marks = useMarks(place.id, span);
  const hasProbe = place.now.quantities.ppfdUmolM2S !== undefined;
  if (!hasProbe && (value?.days.length ?? 0) === 0) return null;
  return (
    <section class="picture" data-testid="place-light">
      <h2>Light</h2>
      {problem && <p class="problem">The light cannot be counted now: {problem}</p>}
      {!value && !problem && <p class="quiet">Counting the light…</p>}
      {hasProbe && (
        <PlainChart
          placeId={place.id}
          name="ppfdUmolM2S"
          marks={marks.filter(({ atMs }) => atMs >= toMs - DAY_MS)}
        />
      )}
      {value && value.days.length > 0 && <LightPicture days={value.days} marks={marks} />}
    </section>
  );
}
