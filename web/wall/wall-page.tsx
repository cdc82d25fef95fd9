import { heldOf } from '../../shared/words/night.ts';
import { leadParts } from '../../shared/words/night-lead.ts';
import { MARK_WORDS, markOf } from '../../shared/words/night-row.ts';
import { clock, duration } from '../../shared/words/plain.ts';
import { houseAlarms } from '../bench/rank.ts';
import { clockTime, weekday } from '../common/time.ts';
import { newestWords } from '../frame/header.tsx';
import { useNight } from '../night/use-night.ts';
import { known, link, nowMs, places, reader, receivedAtMs, secondMs, timeZone } from '../state.ts';
import { Giant } from './giant.tsx';
import { liveRows } from './live-rows.ts';
import { fillScreen, useAwake, useFullScreen, useRoom } from './use-screen.ts';
import { isNightAt, type Wall, type WallPlace, type WallZone, wallOf } from './wall.ts';

type Age = { readonly atMs: number; readonly words: string };

/** How old what is shown is, once nothing new arrives; null while it does. */
function ageOf(): Age | null {
  if (link.value === 'live') return null;
  const atMs = receivedAtMs.value ?? secondMs.value;
  return { atMs, words: duration(Math.max(0, secondMs.value - atMs)) };
}

function Clock({ age }: { readonly age: Age | null }) {
  const at = { atMs: secondMs.value, timeZone: timeZone.value };
  return (
    <p class="wall-clock">
      <b>{clockTime(at)}</b>
      <small data-testid="link-state" data-state={link.value}>
        {age === null ? newestWords() : `${weekday(at)}, not connected`}
      </small>
    </p>
  );
}

/** The one sentence: what needs somebody, else the worst there is, else that all is well. */
function sentenceOf({ places: all }: Wall): { readonly says: string; readonly urgent: boolean } {
  const marked = all.map(({ row, mark }) => ({ name: row.name, mark, held: heldOf(row) }));
  const { urgent, rest, well } = leadParts(marked, true);
  const first = urgent[0] ?? rest[0];
  if (all.length === 0) return { says: 'There is no place yet.', urgent: false };
  return { says: first ? `${first.says}.` : (well ?? ''), urgent: urgent.length > 0 };
}

function Lead({ wall, age }: { readonly wall: Wall; readonly age: Age | null }) {
  const { says, urgent } = sentenceOf(wall);
  return (
    <div class="wall-lead">
      {age === null ? (
        <h1 class={urgent ? 'urgent' : ''}>{says}</h1>
      ) : (
        <h1 class="urgent">
          Not connected for {age.words}. This is how it was at {clock(age.atMs, reader.value)}.
        </h1>
      )}
      <p class="unseen" role="status">
        {age === null ? '' : 'Not connected to the daemon.'}
      </p>
    </div>
  );
}

/** What the sentence and the giant numbers leave unsaid: others by their labels, and alarms of the installation. */
function Others({ wall }: { readonly wall: Wall }) {
  const shown = new Set(wall.giants.map(({ row }) => row.placeId));
  const left = wall.places
    .filter(({ row }) => !shown.has(row.placeId))
    .map(({ row, label, mark }) => ({ name: label, mark, held: heldOf(row) }));
  const { urgent, rest, well } = leadParts(left, true);
  const said = [...urgent, ...rest];
  const [house] = houseAlarms({ alarms: known.value.alarms, nowMs: nowMs.value });
  const isAll = wall.giants.length === 0 && said.length === 0;
  return (
    <p class="wall-others">
      {house && <b>The system needs attention: see Alarms. </b>}
      {said.map(({ says, of }) => (
        <span key={says}>
          {asMore(says, wall.giants.length > 0)}: <b>{namesWords(of)}</b>.{' '}
        </span>
      ))}
      {!isAll && well}
    </p>
  );
}

/** Labels of so many are given: all stand below, marked. */
const MOST_NAMED = 8;

function namesWords(of: readonly { readonly name: string }[]): string {
  const names = of.slice(0, MOST_NAMED).map(({ name }) => name);
  return of.length > MOST_NAMED ? `${names.join(', ')} and ${of.length - MOST_NAMED} more` : names.join(', ');
}

/** Beside giant numbers, those of a line are further ones: "2 more places …". */
function asMore(says: string, more: boolean): string {
  return more ? says.replace(/^(\d+) /, '$1 more ') : says;
}

function saidOf({ row, mark, side }: WallPlace): string {
  const state = MARK_WORDS[mark] || 'needs no attention';
  return side === null ? `${row.name}: ${state}` : `${row.name}: ${state}, ${side} its limit`;
}

function ZoneOf({ zone: { name, places: some }, only }: { readonly zone: WallZone; readonly only: boolean }) {
  return (
    <section>
      {(name !== null || !only) && <h2>{name ?? 'No zone'}</h2>}
      <ul>
        {some.map((place) => (
          <li
            key={place.row.placeId}
            class={`${place.mark} ${place.side ?? ''}`}
            data-place={place.row.placeId}
            data-testid="wall-place"
          >
            <span aria-hidden="true">{place.label}</span>
            <span class="unseen">{saidOf(place)}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** All places on one screen that is read from across the house: one sentence, the worst as giant numbers, every place by zone. */
export function WallPage() {
  useAwake();
  useFullScreen();
  const { night } = useNight(null);
  const outlook = { alarms: known.value.alarms, nowMs: nowMs.value };
  const rows = liveRows(night?.places ?? [], places.value, outlook);
  const age = ageOf();
  const marked = rows.map((row) => `${row.name} ${row.zone} ${markOf(row)}`).join();
  const [list, most] = useRoom(`${marked} ${age === null}`);
  const wall = wallOf(rows, most);
  const isNight = isNightAt(places.value, { atMs: nowMs.value, timeZone: timeZone.value });
  const isUrgent = wall.places.some(({ mark }) => mark === 'unanswered');
  const marks = [
    isNight && !isUrgent && 'dim',
    age !== null && 'old',
    `giants-${wall.giants.length}`,
    wall.places.length > 48 && 'crowded',
  ];
  const view = night && { fromMs: Date.parse(night.from), toMs: Date.parse(night.to) };
  return (
    <div class={`wall ${marks.filter(Boolean).join(' ')}`} data-testid="wall">
      <header>
        <Lead wall={wall} age={age} />
        <Clock age={age} />
      </header>
      {wall.giants.length > 0 && (
        <ol class="giants" ref={list}>
          {wall.giants.map((place) => (
            <Giant key={place.row.placeId} place={place} view={view} isOld={age !== null} />
          ))}
        </ol>
      )}
      <Others wall={wall} />
      <div class="wall-zones">
        {wall.zones.map((zone) => (
          <ZoneOf key={zone.name ?? ''} zone={zone} only={wall.zones.length === 1} />
        ))}
      </div>
      <p class="wall-ways">
        <a href="#/">Leave (Escape)</a>
        {document.fullscreenEnabled && (
          <button type="button" onClick={fillScreen}>
            Full screen
          </button>
        )}
      </p>
    </div>
  );
}
