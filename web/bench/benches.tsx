import { alarmWords } from '../../shared/words/alarm.ts';
import { ArchiveLead } from '../archive/archive-lead.tsx';
import { waitingHeadline } from '../archive/lifecycle.ts';
import { WaitingSection } from '../archive/waiting.tsx';
import { DemoProgress } from '../frame/demo-switch.tsx';
import { FirstRun } from '../frame/first-run.tsx';
import { placeHref } from '../frame/route.ts';
import { known, nowMs, places, reader } from '../state.ts';
import { fillScreen } from '../wall/use-screen.ts';
import { PlaceCard } from './place-card.tsx';
import { houseAlarms, worstFirst } from './rank.ts';
import { topLine } from './top-line.ts';

/** Every place as a section, worst first, under one line that says what needs attention now. */
export function Benches() {
  const { alarms } = known.value;
  const shown = places.value;
  if (shown.length === 0) return <FirstRun />;
  const outlook = { alarms, nowMs: nowMs.value };
  const sorted = worstFirst(shown, outlook);
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
      <div class={`benches${shown.length === 1 ? ' lone' : ''}`}>
        {sorted.map((place) => (
          <PlaceCard key={place.id} place={place} />
        ))}
      </div>
      <div class="benches-lead">
        <WaitingSection />
        <p>
          <a href="#/wall" onClick={fillScreen}>
            Wall view
          </a>
          : all places on a screen that is read from across the house. Escape leaves it.
        </p>
        <ArchiveLead />
      </div>
    </>
  );
}
