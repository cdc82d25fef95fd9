import type { FindingView } from '../../shared/wire/probes/finding.ts';
import { findingWords } from '../../shared/words/finding.ts';
import { call } from '../api.ts';
import { useLoaded } from '../common/hooks.ts';
import { momentWords } from '../common/time.ts';
import { placeHref } from '../frame/route.ts';
import { known, nowMs, reader } from '../state.ts';
import { activeFirst, findingOf, suspectLine } from './findings.ts';

const RENEW_MS = 300_000;

function FindingItem({ view, withPlace }: { view: FindingView; withPlace: boolean }) {
  const { headline, why, counted, action } = findingWords(findingOf(view), reader.value);
  const place = withPlace ? known.value.places.find(({ id }) => id === view.placeId) : undefined;
  return (
    <li class={view.until === null ? 'stands' : 'over'} data-testid="finding">
      <p>
        <b class="breakable">{headline}</b>
        {place && (
          <>
            {' '}
            <a href={placeHref(place.id)}>{place.name}</a>
          </>
        )}
      </p>
      <p>
        {why} {action}
      </p>
      <p class="quiet">{counted}</p>
    </li>
  );
}

/** What may be wrong with the probes of a place, or of all: what, why, since when, and what to do. */
export function FindingsSection({ placeId }: { placeId: string | null }) {
  const round = Math.floor(nowMs.value / RENEW_MS);
  const { value, problem, loading } = useLoaded(`findings ${placeId} ${round}`, () =>
    call('listFindings', { query: { place: placeId } }),
  );
  return (
    <section class="findings-section" data-testid="findings">
      <h2>Can the probes be trusted?</h2>
      {problem && (
        <p class="problem">
          The probe faults cannot be loaded: {problem}
          {value && ' What follows is the last answer.'}
        </p>
      )}
      {!value && loading && <p class="waiting">Checking the probes…</p>}
      {value && (
        <>
          <p role="status">{suspectLine(value.findings)}</p>
          <ol class="findings">
            {activeFirst(value.findings).map((view) => (
              <FindingItem
                key={`${view.probeId} ${view.finding} ${view.since}`}
                view={view}
                withPlace={placeId === null}
              />
            ))}
          </ol>
          {value.lookedAt !== null && (
            <p class="quiet">
              Looked at {momentWords({ atMs: Date.parse(value.lookedAt), ...reader.value })}. Every reading
              stays in the record as it came.
            </p>
          )}
        </>
      )}
    </section>
  );
}
