import type { Exposures, PlaceSummary } from '../../shared/wire/http.ts';
import { countText, hoursText } from '../state/format.ts';

function Light({ place }: { place: PlaceSummary }) {
  const { illuminanceLx, ppfdUmolM2S } = place.now.quantities;
  if (!illuminanceLx && !ppfdUmolM2S) return <>no light probe</>;
  const stale = (illuminanceLx ?? ppfdUmolM2S)?.state === 'stale';
  return (
    <span class={stale ? 'stale' : ''}>
      light {illuminanceLx && `${countText(illuminanceLx.value)} lx `}
      {ppfdUmolM2S &&
        (ppfdUmolM2S.estimated ? (
          <span class="estimate" title="estimated from illuminance">
            ≈ {countText(ppfdUmolM2S.value)} µmol m⁻² s⁻¹, estimated
          </span>
        ) : (
          `${countText(ppfdUmolM2S.value)} µmol m⁻² s⁻¹`
        ))}
      {stale && ' (stale)'}
    </span>
  );
}

function saturatedWords(exposures: Exposures | null): string | null {
  if (!exposures || exposures.saturation.coveredHours === 0) return null;
  const { hoursSaturated } = exposures.saturation;
  return hoursSaturated < 0.05
    ? 'never saturated in 24 h'
    : `saturated ${hoursText(hoursSaturated)} of the last 24`;
}

function tellingWords(place: PlaceSummary): string {
  const { probesTelling, probesAssigned } = place.now;
  if (probesAssigned === 0) return 'no probes yet';
  if (probesTelling < probesAssigned) return `${probesTelling} of ${probesAssigned} probes telling`;
  return probesAssigned === 1 ? 'its one probe telling' : `all ${probesAssigned} probes telling`;
}

/** The foot of a section: light, wet hours, and how many probes tell. */
export function Foot({ place, exposures }: { place: PlaceSummary; exposures: Exposures | null }) {
  const { relativeHumidityPct } = place.now.quantities;
  const saturated = saturatedWords(exposures);
  const silent = place.now.probesTelling < place.now.probesAssigned;
  return (
    <footer class="foot">
      <Light place={place} />
      {relativeHumidityPct && (
        <span class={relativeHumidityPct.state === 'stale' ? 'stale' : ''}>
          {` · humidity ${relativeHumidityPct.value.toFixed(0)} %RH`}
        </span>
      )}
      {saturated && ` · ${saturated}`}
      {' · '}
      <span class={silent ? 'silent' : ''}>{tellingWords(place)}</span>
    </footer>
  );
}
