import { worstFirst } from '../state/rank.ts';
import { placeHref } from '../state/route.ts';
import { topLine } from '../state/sentence.ts';
import { known, nowMs } from '../state.ts';
import { FirstRun } from './first-run.tsx';
import { PlaceCard } from './place-card.tsx';

/** Every place as a section, worst first, under one line that says what needs a hand now. */
export function Benches() {
  const { places, alarms } = known.value;
  if (places.length === 0) return <FirstRun />;
  const sorted = worstFirst(places, alarms, nowMs.value);
  const line = topLine(sorted, alarms, nowMs.value);
  return (
    <>
      <h1 class="unseen">Benches</h1>
      <p class="top-line">
        <strong class={line.urgent ? 'urgent' : ''}>{line.call}</strong>
        {line.clauses.map(({ placeId, name, clause }) => (
          <span key={placeId}>
            {' '}
            <a href={placeHref(placeId)}>{name}</a> {clause}.
          </span>
        ))}
        {line.rest && ` ${line.rest}`}
      </p>
      <div class={`benches${places.length === 1 ? ' lone' : ''}`}>
        {sorted.map((place) => (
          <PlaceCard key={place.id} place={place} />
        ))}
      </div>
    </>
  );
}
