import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { Ask } from '../common/ask.tsx';
import { countText, hoursText } from '../common/format.ts';
import { spanOf } from '../record/span-table.tsx';
import type { DayExposures } from '../state.ts';
import { probesReporting } from './rank.ts';

function Light({ place }: { place: PlaceSummary }) {
  const { illuminanceLx, ppfdUmolM2S } = place.now.quantities;
  if (!illuminanceLx && !ppfdUmolM2S) return <>no light probe</>;
  const stale = (illuminanceLx ?? ppfdUmolM2S)?.state === 'stale';
  return (
    <span class={stale ? 'stale' : ''}>
      light{' '}
      {illuminanceLx && (
        <>
          <Ask placeId={place.id} of="now.illuminanceLx">
            {countText(illuminanceLx.value)} lx
          </Ask>{' '}
        </>
      )}
      {ppfdUmolM2S && (
        <Ask placeId={place.id} of="now.ppfdUmolM2S">
          {ppfdUmolM2S.estimated ? (
            <span class="estimate">≈ {countText(ppfdUmolM2S.value)} µmol m⁻² s⁻¹, estimated</span>
          ) : (
            `${countText(ppfdUmolM2S.value)} µmol m⁻² s⁻¹`
          )}
        </Ask>
      )}
      {stale && ' (stale)'}
    </span>
  );
}

function Humidity({ place }: { place: PlaceSummary }) {
  const { relativeHumidityPct: humidity } = place.now.quantities;
  if (!humidity) return null;
  return (
    <span class={humidity.state === 'stale' ? 'stale' : ''}>
      {' · humidity '}
      <Ask placeId={place.id} of="now.relativeHumidityPct">
        {`${humidity.value.toFixed(0)} %RH`}
      </Ask>
      {humidity.state === 'stale' && ' (stale)'}
    </span>
  );
}

function Saturated({ exposures }: { exposures: DayExposures | null }) {
  if (!exposures || exposures.saturation.coveredHours === 0) return null;
  const { hoursSaturated } = exposures.saturation;
  const never = hoursSaturated < 0.05;
  return (
    <>
      {never ? ' · ' : ' · saturated '}
      <Ask placeId={exposures.placeId} of="exposures.saturation.hoursSaturated" span={spanOf(exposures)}>
        {never ? 'never saturated in 24 h' : hoursText(hoursSaturated)}
      </Ask>
      {!never && ' of the last 24'}
    </>
  );
}

function reportingWords(place: PlaceSummary, reporting: number): string {
  const { probesAssigned } = place.now;
  if (probesAssigned === 0) return 'no probes yet';
  if (reporting === 0)
    return probesAssigned === 1 ? 'probe not reporting' : `0 of ${probesAssigned} probes reporting`;
  if (reporting < probesAssigned) return `${reporting} of ${probesAssigned} probes reporting`;
  return probesAssigned === 1 ? 'probe reporting' : `${probesAssigned} of ${probesAssigned} probes reporting`;
}

/** The foot of a section: light, wet hours, and how many probes report. */
export function Foot({
  place,
  exposures,
  alarms,
}: {
  place: PlaceSummary;
  exposures: DayExposures | null;
  alarms: readonly Alarm[];
}) {
  const reporting = probesReporting(place, alarms);
  const silent = reporting < place.now.probesAssigned;
  return (
    <footer class="foot">
      <Light place={place} />
      <Humidity place={place} />
      <Saturated exposures={exposures} />
      {' · '}
      <span class={silent ? 'silent' : ''}>{reportingWords(place, reporting)}</span>
    </footer>
  );
}
