import { stripOf } from '../../shared/night/strip.ts';
import { answeredWords, EXCURSION_NAMES, firstAction, timeLeftWords } from '../../shared/words/night-row.ts';
import { asSentence, clock } from '../../shared/words/plain.ts';
import { clauseOf } from '../bench/top-line.ts';
import { temperatureWithUnit, vpdText } from '../common/format.ts';
import type { View } from '../common/plot.ts';
import { nextStepOf } from '../night/next-step.ts';
import { NightStrip } from '../night/night-strip.tsx';
import { known, nowMs, reader, timeZone } from '../state.ts';
import { newestOf, shownKind, silentSinceMs, type WallPlace } from './wall.ts';

/** What is the matter, in few words. */
function whatOf({ row, mark }: WallPlace): string {
  if (mark === 'not-reporting') {
    const sinceMs = silentSinceMs(row);
    return sinceMs === null ? 'Not reporting' : `Not reporting since ${clock(sinceMs, reader.value)}`;
  }
  const kind = shownKind(row);
  if (kind) return EXCURSION_NAMES[kind.kind].name;
  return clauseOf(row.place, { alarms: known.value.alarms, nowMs: nowMs.value }, reader.value);
}

function Newest({ place, isOld }: { readonly place: WallPlace; readonly isOld: boolean }) {
  const newest = place.mark === 'not-reporting' ? null : newestOf(place.row);
  if (newest === null) return null;
  const { value, unit } = newest;
  const text = unit === 'kPa' ? `${vpdText(value)} kPa` : temperatureWithUnit(value, reader.value.unit);
  return (
    <>
      <b class={place.side ?? ''} data-testid="wall-value">
        {isOld ? `was ${text}` : text}
      </b>{' '}
    </>
  );
}

type GiantProps = {
  readonly place: WallPlace;
  /** the night that the strip shows; null before it is known */
  readonly view: View | null;
  /** nothing new arrives: a number is one that was */
  readonly isOld: boolean;
};

/** One of the worst: its number, what is the matter, one order, and who answered. */
export function Giant({ place, view, isOld }: GiantProps) {
  const { row, mark, label } = place;
  const step = nextStepOf(row, row.alarms);
  const about = [timeLeftWords(row), answeredWords(row), row.zone].filter((text) => text !== null);
  const what = whatOf(place);
  return (
    <li class={`giant ${mark}${label.length > 4 ? ' named' : ''}`} data-place={row.placeId}>
      <h2>
        <span aria-hidden="true">{label}</span>
        <span class="unseen">{row.name}</span>
      </h2>
      <div>
        <p class="what">
          <Newest place={place} isOld={isOld} />
          {newestOf(row) ? what : asSentence(what)}
        </p>
        {step && <p class="order">{firstAction(step)}</p>}
        <p class="about">{about.join(' · ')}</p>
      </div>
      {view && (
        <svg class="wall-strip" viewBox="0 0 110 22" aria-hidden="true">
          <NightStrip strip={stripOf(row, view)} view={view} timeZone={timeZone.value} full={false} />
        </svg>
      )}
    </li>
  );
}
