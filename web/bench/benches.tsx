import type { VNode } from 'preact';
import { useRef } from 'preact/hooks';
import type { BenchFilter } from '../../shared/page-routes.ts';
import type { PlaceSummary } from '../../shared/wire/http.ts';
import { alarmWords } from '../../shared/words/alarm.ts';
import { ArchiveLead } from '../archive/archive-lead.tsx';
import { waitingHeadline } from '../archive/lifecycle.ts';
import { WaitingSection } from '../archive/waiting.tsx';
import { useNarrow } from '../common/hooks.ts';
import { IfMay } from '../common/if-may.tsx';
import { DemoProgress } from '../frame/demo-switch.tsx';
import { FirstRun } from '../frame/first-run.tsx';
import { placeHref } from '../frame/route.ts';
import { known, nowMs, places, reader } from '../state.ts';
import { BenchLine } from './many/bench-line.tsx';
import { filtered, NO_FILTER } from './many/filter.ts';
import { FilterBar } from './many/filter-bar.tsx';
import { type CardSize, sizesOf } from './many/sizes.ts';
import { useCrops } from './many/use-crops.ts';
import { PlaceCard } from './place-card.tsx';
import { houseAlarms, isTroubled, type Outlook, worstFirst } from './rank.ts';
import { topLine } from './top-line.ts';

/** From more places on they can be chosen by zone, state and crop. */
const CHOICE_FROM = 6;

type CardsProps = {
  readonly shown: readonly PlaceSummary[];
  readonly outlook: Outlook;
  readonly sizes: ReadonlyMap<string, CardSize>;
};

/** Lines as they were drawn last, by the id of the place: what stands for the same place is not drawn again. */
function useLines() {
  const drawn = useRef(new Map<string, { place: PlaceSummary; size: CardSize; line: VNode }>());
  return (place: PlaceSummary, size: 'brief' | 'line'): VNode => {
    const kept = drawn.current.get(place.id);
    if (kept?.place === place && kept.size === size) return kept.line;
    const line = <BenchLine key={place.id} place={place} size={size} />;
    drawn.current.set(place.id, { place, size, line });
    return line;
  };
}

function Cards({ shown, outlook, sizes }: CardsProps) {
  const lineOf = useLines();
  const of = (size: CardSize) => shown.filter(({ id }) => sizes.get(id) === size);
  const full = of('full');
  const lines = (name: string, some: readonly PlaceSummary[], size: 'brief' | 'line') => {
    if (some.length === 0) return null;
    return <ol class={`bench-lines ${name}`}>{some.map((place) => lineOf(place, size))}</ol>;
  };
  const isOut = (place: PlaceSummary) => isTroubled(place, outlook);
  if (shown.length === 0) return <p class="waiting">No place is so.</p>;
  return (
    <>
      {full.length > 0 && (
        <div class={`benches${full.length === 1 ? ' lone' : ''}`}>
          {full.map((place) => (
            <PlaceCard key={place.id} place={place} lone={full.length === 1} />
          ))}
        </div>
      )}
      {lines('briefs', of('brief'), 'brief')}
      {lines('out', of('line').filter(isOut), 'line')}
      {lines(
        'well',
        of('line').filter((place) => !isOut(place)),
        'line',
      )}
    </>
  );
}

/** Every place as a section, worst first, under one line that says what needs attention now. */
export function Benches({ filter: asked }: { filter: BenchFilter | null }) {
  const { alarms } = known.value;
  const all = places.value;
  const isNarrow = useNarrow();
  const hasChoice = asked !== null || all.length > CHOICE_FROM;
  const crops = useCrops(hasChoice);
  if (all.length === 0) return <FirstRun />;
  const outlook = { alarms, nowMs: nowMs.value };
  const sorted = worstFirst(all, outlook);
  const filter = asked ?? NO_FILTER;
  const shown = filtered(sorted, filter, crops);
  const waiting = waitingHeadline(known.value.house?.waiting?.devices ?? 0);
  const line = topLine(sorted, outlook, reader.value);
  return (
    <>
      <h1 class="unseen">Benches</h1>
      <DemoProgress />
      <p class="top-line">
        <strong class={line.urgent ? 'urgent' : ''}>{line.call}</strong>
        {line.clauses.map(({ placeId, name, clause }) => (
          <span key={placeId}>
            {' '}
            <a href={placeHref(placeId)}>{name}</a>: {clause}.
          </span>
        ))}
        {line.rest && ` ${line.rest}`}
        {waiting && (
          <span>
            {' '}
            <a href="#/devices">{waiting}</a>
          </span>
        )}
        {houseAlarms(outlook).map((alarm) => (
          <span key={alarm.id}>
            {' '}
            <a href="#/alarms">{alarmWords(alarm, reader.value).headline}</a>
          </span>
        ))}
      </p>
      {hasChoice && <FilterBar all={all} shown={shown.length} crops={crops} filter={filter} />}
      <Cards shown={shown} outlook={outlook} sizes={sizesOf(shown, outlook, isNarrow ? 'narrow' : 'wide')} />
      <div class="benches-lead">
        <WaitingSection />
        <p>
          <a href="#/wall">Wall view</a>: all places on a screen that is read from across the house. Escape
          leaves it.
        </p>
        <IfMay route="addBatch">
          <p>
            <a href="#/start">Start a batch</a> of cuttings: its sheet sets the bands.
          </p>
        </IfMay>
        {all.length > 1 && (
          <IfMay route="changePlaces">
            <p>
              <a href="#/several">Change several places</a>: names, zones, targets or an alarm in one go.
            </p>
          </IfMay>
        )}
        <ArchiveLead />
      </div>
    </>
  );
}
